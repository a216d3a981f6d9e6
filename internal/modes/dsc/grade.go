package dsc

import (
	"github.com/spf13/pflag"

	"ionoscribe/internal/grade"
	"ionoscribe/internal/mode"
)

// grader has the options of the command that grades.
type grader struct{ vhf bool }

func (*grader) Help() mode.Help {
	return mode.Help{
		Long: `What is counted as characters are whole calls: a call is lost if it does not pass its checks, and replaced or added if it
passes and is not the one that was sent. The tuning is wrong by up to ±100 Hz, but for VHF.`,
		Example: "  ionoscribe grade dsc --characters 500 --length 10",
	}
}

func (*grader) SNRs() string { return "-4:-9:-1" }

func (g *grader) AddFlags(f *pflag.FlagSet) {
	f.BoolVar(&g.vhf, "vhf", false, "send the calls of VHF")
}

func (g *grader) Mode() (grade.TextMode, error) { return grade.DSC(g.vhf), nil }
