package navtex

import (
	"fmt"
	"strings"

	"github.com/spf13/pflag"

	"ionoscribe/internal/grade"
	"ionoscribe/internal/mode"
	"ionoscribe/internal/theory"
)

// grader has the options of the command that grades: one of the cases that have a name.
type grader struct {
	name     string
	doubtful bool
}

func (*grader) Help() mode.Help {
	var titles []string
	for _, c := range grade.ModeBCases() {
		titles = append(titles, fmt.Sprintf("  %-13s %s", c.Name, c.Title))
	}
	return mode.Help{
		Long:    "Cases; the tuning is wrong by up to ±100 Hz in all:\n\n" + strings.Join(titles, "\n"),
		Example: "  ionoscribe grade navtex --case crashes-30ms --channel mid-disturbed --snr 8",
	}
}

func (*grader) SNRs() string { return "-3:-9:-1" }

func (g *grader) AddFlags(f *pflag.FlagSet) {
	names := caseNames()
	f.StringVar(&g.name, "case", names[0], "`NAME` of what is sent, and through what: "+strings.Join(names, ", "))
	f.BoolVar(&g.doubtful, "doubtful", false, fmt.Sprintf("count characters as wrong whose confidence is below %g", theory.DoubtfulBelow))
}

func (g *grader) Mode() (grade.TextMode, error) {
	for _, c := range grade.ModeBCases() {
		if c.Name == g.name {
			c.DoubtfulWrong = g.doubtful
			return grade.ModeB(c), nil
		}
	}
	return grade.TextMode{}, fmt.Errorf("--case %q is none of %s", g.name, strings.Join(caseNames(), ", "))
}

func caseNames() (names []string) {
	for _, c := range grade.ModeBCases() {
		names = append(names, c.Name)
	}
	return names
}
