package navtex

import (
	"errors"
	"fmt"
	"strings"

	"github.com/spf13/pflag"

	"ionoscribe/internal/mode"
	"ionoscribe/rtty/modeb"
)

// receiver has the options of the command that receives.
type receiver struct {
	centre, shift float64
	any           bool
	choice
}

func (*receiver) Help() mode.Help {
	return mode.Help{
		Short: "Print NAVTEX messages, or any text in mode B",
		Long: `Print NAVTEX messages (ITU-R M.540) from recordings or from what a pipe brings; tuning and sideband are found and
followed. A message is printed when it has ended, below a line with its station, subject and number. Of a message that is sent again
all receptions are put together: it is printed again if it is known better now, and not if it was received well before. Warnings, and
what concerns search and rescue, are always printed, below a line that begins with !!.

With --any all text in mode B (ITU-R M.476) is printed as it is heard, some characters late.

` + modeb.Caution,
		Example: `  ionoscribe navtex recording.wav
  ionoscribe navtex --subjects CE --log messages.txt recording.wav
  arecord -f S16_LE -r 12000 -t wav | ionoscribe navtex --any -`,
	}
}

func (r *receiver) AddFlags(f *pflag.FlagSet) {
	f.Float64Var(&r.centre, "centre", 0, "`HZ` in the middle of the tones, 300 to 3500, to within 30 (default: found out)")
	f.Float64Var(&r.shift, "shift", modeb.UsualShiftHz, "`HZ` between the tones, 80 to 900")
	f.BoolVar(&r.any, "any", false, "print all text in mode B as it is heard, not messages alone")
	f.BoolVar(&r.all, "all", false, "print messages too that were received well before")
	f.StringVar(&r.subjects, "subjects", "", "`LETTERS` of the subjects to print, such as CE; A, B, D and L always are (default: all)")
}

func (r *receiver) NewDecoder(o mode.Order, t mode.Told) (mode.Decoder, error) {
	wanted := r.choice
	wanted.subjects = strings.ToUpper(wanted.subjects)
	for _, s := range wanted.subjects {
		if s < 'A' || s > 'Z' {
			return nil, fmt.Errorf("--subjects %q is not letters alone, such as CE", r.subjects)
		}
	}
	if r.any && (r.all || r.subjects != "") {
		return nil, errors.New("--any prints all text: leave --all and --subjects away")
	}
	c := modeb.Config{CentreHz: r.centre, ShiftHz: r.shift}
	if r.any {
		return newDecoder(c, o, t)
	}
	return newMessageDecoder(c, o, t, wanted)
}

func (*receiver) All() bool      { return false }
func (*receiver) Anywhere() bool { return false }
