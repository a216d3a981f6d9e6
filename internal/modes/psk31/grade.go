package psk31

import (
	"github.com/spf13/pflag"

	"ionoscribe/internal/grade"
	"ionoscribe/internal/mode"
)

// grader has the options of the command that grades.
type grader struct{ grade.PSK31Case }

func (*grader) Help() mode.Help {
	return mode.Help{Example: `  ionoscribe grade psk31 --drift 0.2 --snr -6
  ionoscribe grade psk31 --signals 20 --snr 0`}
}

func (*grader) SNRs() string { return "-8:-13:-1" }

func (g *grader) AddFlags(f *pflag.FlagSet) {
	c := &g.PSK31Case
	f.Float64Var(&c.DriftHzPerSecond, "drift", 0, "`Hz` a second by which the pitch changes, within ±2")
	f.BoolVar(&c.QPSK, "qpsk", false, "send four phases (QPSK)")
	f.IntVar(&c.Signals, "signals", 1, "`NUMBER` of signals at once, each 60 Hz from the next, up to 40")
}

func (g *grader) Mode() (grade.TextMode, error) { return grade.PSK31(g.PSK31Case), g.Check() }
