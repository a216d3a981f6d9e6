package grade

import (
	_ "embed"
	"fmt"
	"regexp"
	"strings"
)

//go:embed report.md
var report string

// ReportPart is a part of the report: lines that stay as they are, or a run of the program whose output belongs behind them.
type ReportPart struct {
	Text string   // with a line end, unless it is empty
	Args []string // of the program, after its name; nil: there is no run
	Plot string   // file of the run's plot beside the report; "" for none
}

// Command is the run as it is typed.
func (p ReportPart) Command() string { return "ionoscribe " + strings.Join(p.Args, " ") }

// Kept is the name of the file that keeps the run's output.
func (p ReportPart) Kept() string {
	return strings.Trim(regexp.MustCompile(`[^a-z0-9.]+`).ReplaceAllString(strings.Join(p.Args, " "), "-"), "-") + ".txt"
}

// prompt begins a line of the report that is a run.
const prompt = "$ ionoscribe "

// Report is the report's parts. A picture in a line of its own belongs to the run after it, which draws it.
func Report() ([]ReportPart, error) { return parseReport(report) }

var reportPicture = regexp.MustCompile(`^!\[.*\]\((.+)\)$`)

func parseReport(text string) (parts []ReportPart, err error) {
	part := ReportPart{}
	for line := range strings.Lines(text) {
		part.Text += line
		line = strings.TrimRight(line, "\n")
		if m := reportPicture.FindStringSubmatch(line); m != nil {
			if part.Plot != "" {
				return nil, fmt.Errorf("the picture %s has no run", part.Plot)
			}
			part.Plot = m[1]
		}
		if args, ok := strings.CutPrefix(line, prompt); ok {
			part.Args = strings.Fields(args)
			parts = append(parts, part)
			part = ReportPart{}
		}
	}
	if part.Plot != "" {
		return nil, fmt.Errorf("the picture %s has no run", part.Plot)
	}
	return append(parts, part), nil
}
