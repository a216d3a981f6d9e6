package rtty

import (
	"fmt"
	"strings"

	"github.com/spf13/pflag"

	"ionoscribe/internal/grade"
	"ionoscribe/internal/mode"
)

// grader has the options of the command that grades: one of the cases that have a name.
type grader struct {
	name  string
	drill bool
}

func (*grader) Help() mode.Help {
	var titles []string
	for _, c := range grade.RTTYCases() {
		titles = append(titles, fmt.Sprintf("  %-13s %s", c.Name, c.Title))
	}
	return mode.Help{
		Long:    "Cases; the tuning is wrong by up to ±100 Hz in all:\n\n" + strings.Join(titles, "\n"),
		Example: "  ionoscribe grade rtty --case wide --channel mid-disturbed --snr 12",
	}
}

func (*grader) SNRs() string { return "-4:-10:-1" }

func (g *grader) AddFlags(f *pflag.FlagSet) {
	names := caseNames()
	f.StringVar(&g.name, "case", names[0], "`NAME` of what is sent, and through what: "+strings.Join(names, ", "))
	f.BoolVar(&g.drill, "drill", false, "send groups of five letters and plain text alone, not all that is sent on the air")
}

func (g *grader) Mode() (grade.TextMode, error) {
	for _, c := range grade.RTTYCases() {
		if c.Name == g.name {
			c.Drill = g.drill
			return grade.RTTY(c), nil
		}
	}
	return grade.TextMode{}, fmt.Errorf("--case %q is none of %s", g.name, strings.Join(caseNames(), ", "))
}

func caseNames() (names []string) {
	for _, c := range grade.RTTYCases() {
		names = append(names, c.Name)
	}
	return names
}
