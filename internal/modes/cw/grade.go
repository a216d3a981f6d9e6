package cw

import (
	"github.com/spf13/pflag"

	"ionoscribe/internal/grade"
	"ionoscribe/internal/mode"
)

// grader has the options of the command that grades: who sends, and how.
type grader struct{ grade.CWCase }

func (*grader) Help() mode.Help {
	return mode.Help{Example: `  ionoscribe grade cw --hand --wpm 18 --snr 10 --channel mid-moderate
  ionoscribe grade cw --plain --plain-language`}
}

func (*grader) SNRs() string { return "-12:-6:1" }

func (g *grader) AddFlags(f *pflag.FlagSet) {
	c := &g.CWCase
	f.Float64Var(&c.WPM, "wpm", 20, "`SPEED` in words a minute, 5 to 60")
	f.BoolVar(&c.Hand, "hand", false, "send by a straight key instead of a machine")
	f.Float64Var(&c.StepWPM, "step", 0, "`SPEED` of the second half of each message (default: as the first)")
	f.Float64Var(&c.BesideHz, "beside", 0, "`Hz` to another message at equal level (default: none); the pitch is ordered then")
	f.IntVar(&c.Signals, "signals", 1, "`NUMBER` of signals at once in 3 kHz, at 12 to 35 words a minute if more than one, up to 30")
	f.BoolVar(&c.Letters, "letters", false, "send groups of letters alone instead of letters and figures")
	f.BoolVar(&c.Plain, "plain", false, "send plain English instead of groups; it is not what --plain-language was learnt from")
	f.BoolVar(&c.ExpectPlain, "plain-language", false, "expect plain language, as ionoscribe cw --plain-language does")
}

func (g *grader) Mode() (grade.TextMode, error) { return grade.CWMode(g.CWCase), g.Check() }
