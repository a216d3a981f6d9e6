package dsc

import (
	"github.com/spf13/pflag"

	"ionoscribe/internal/mode"
	"ionoscribe/rtty/dsc"
)

// receiver has the options of the command that receives.
type receiver struct {
	centre float64
	vhf    bool
}

func (*receiver) Help() mode.Help {
	return mode.Help{
		Short: "Print selective calls, distress alerts among them",
		Long: `Print calls of digital selective calling (ITU-R M.493) from recordings or from what a pipe brings, a line each; tuning and
sideband are found, and several calls at once received. A call that does not pass its checks is printed as failed, with its symbols as
numbers; distress calls stand behind !!: of them ` + caution + ".",
		Example: `  ionoscribe dsc recording.wav
  ionoscribe dsc --vhf --json channel70.wav
  arecord -f S16_LE -r 12000 -t wav | ionoscribe dsc -`,
	}
}

func (r *receiver) AddFlags(f *pflag.FlagSet) {
	f.Float64Var(&r.centre, "centre", 0, "`HZ` in the middle of the tones, 300 to 3500, to within 30 (default: found out)")
	f.BoolVar(&r.vhf, "vhf", false, "receive the calls of VHF, 1200 Bd with tones of 1300 and 2100 Hz, in place of those of MF and HF")
}

func (r *receiver) NewDecoder(o mode.Order, t mode.Told) (mode.Decoder, error) {
	return newDecoder(dsc.Config{CentreHz: r.centre, VHF: r.vhf}, o, t)
}

func (*receiver) All() bool      { return false }
func (*receiver) Anywhere() bool { return false }
