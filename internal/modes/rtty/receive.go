package rtty

import (
	"fmt"

	"github.com/spf13/pflag"

	"ionoscribe/internal/flags"
	"ionoscribe/internal/mode"
	"ionoscribe/rtty"
)

// receiver has the options of the command that receives.
type receiver struct {
	centre, shift, baud float64
	mark, alphabet      string
	unshift             bool
}

func (*receiver) Help() mode.Help {
	return mode.Help{
		Short: "Print radioteletype",
		Long: `Print radioteletype (start-stop telegraphy, ITU-T S.1) from recordings or from what a pipe brings; tuning, shift,
speed and polarity are found and followed, and found again when the sender changes.

With --iq it is complex, and --tune listens in it. A source may carry settings of its own: night.wav?channel=right&dial=4610kHz. Text is printed as it is heard, some characters late. The bell is shown as ␇, "who are you" as ␅.`,
		Example: `  ionoscribe rtty recording.wav
  ionoscribe rtty --baud 50 --shift 450 --log bulletins.txt recording.wav
  arecord -f S16_LE -r 12000 -t wav | ionoscribe rtty -`,
	}
}

func (r *receiver) AddFlags(f *pflag.FlagSet) {
	f.Float64Var(&r.centre, "centre", 0, "`HZ` in the middle of the tones, 300 to 3500, to within 30 (default: found out)")
	f.Float64Var(&r.shift, "shift", 0, "`HZ` between the tones, 50 to 1000, to within a fifth (default: found out)")
	f.Float64Var(&r.baud, "baud", 0, "`BAUD`, elements a second, 40 to 320, to within 2 % (default: found out)")
	f.StringVar(&r.mark, "mark", "", "`TONE` that is mark: lower or higher (default: found out)")
	f.StringVar(&r.alphabet, "alphabet", "", "`NAME` of the alphabet: ita2, us (ITA2 with US figures), ascii7 or ascii8 (default: ita2, and ASCII where its rates are found)")
	flags.Choices(f, "mark", "lower", "higher")
	flags.Choices(f, "alphabet", alphabetNames...)
	f.BoolVar(&r.unshift, "unshift", false, "return to letters at a space")
}

func (r *receiver) NewDecoder(o mode.Order, t mode.Told) (mode.Decoder, error) {
	c := rtty.Config{CentreHz: r.centre, ShiftHz: r.shift, Baud: r.baud, UnshiftOnSpace: r.unshift}
	switch r.mark {
	case "":
	case "lower":
		c.Polarity = rtty.MarkLower
	case "higher":
		c.Polarity = rtty.MarkHigher
	default:
		return nil, fmt.Errorf("--mark %q is neither lower nor higher", r.mark)
	}
	if r.alphabet != "" {
		a, err := alphabet(r.alphabet)
		if err != nil {
			return nil, err
		}
		c.Alphabets = []rtty.Alphabet{a}
	}
	return newDecoder(c, o, t)
}

func (*receiver) All() bool      { return false }
func (*receiver) Anywhere() bool { return false }

// alphabetNames are those of the options.
var alphabetNames = []string{"ita2", "us", "ascii7", "ascii8"}

func alphabet(name string) (rtty.Alphabet, error) {
	for i, n := range alphabetNames {
		if n == name {
			return []rtty.Alphabet{rtty.ITA2, rtty.ITA2US, rtty.ASCII7, rtty.ASCII8}[i], nil
		}
	}
	return 0, fmt.Errorf("--alphabet %q is none of ita2, us, ascii7, ascii8", name)
}
