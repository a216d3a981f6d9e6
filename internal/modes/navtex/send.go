package navtex

import (
	"fmt"
	"strings"

	"github.com/spf13/pflag"

	"ionoscribe/internal/mode"
	"ionoscribe/samples"
)

// sender has the options of the command that sends text.
type sender struct {
	samples.ModeBConfig
	preamble     string
	times        int
	pauseSeconds float64
}

func (*sender) Help() mode.Help {
	return mode.Help{
		Short: "Send text in mode B, or as a NAVTEX message, into a recording",
		Long: `Send text in mode B (ITU-R M.476) into a WAV recording, with --preamble as a NAVTEX message between ZCZC and NNNN:
frequency-shift keying whose phase never jumps, each character twice.`,
		Example: `  ionoscribe synth navtex --preamble EA01 --snr -3 -o signal.wav message.txt
  ionoscribe synth navtex --channel mid-disturbed -o - bulletin.txt | ionoscribe navtex --any -`,
	}
}

func (s *sender) AddFlags(f *pflag.FlagSet) {
	c := &s.ModeBConfig
	f.Float64Var(&c.SampleRate, "rate", samples.DefaultSampleRate, "`Hz`: sample rate")
	f.Float64Var(&c.Baud, "baud", samples.DefaultKeyedBaud, "`BAUD`: elements a second")
	f.Float64Var(&c.BaudErrorPercent, "baud-error", 0, "`PERCENT` by which the sender is too fast, up to 1")
	f.Float64Var(&c.ShiftHz, "shift", samples.DefaultShiftHz, "`Hz` between the tones")
	f.Float64Var(&c.CentreHz, "centre", samples.DefaultKeyedCentreHz, "`Hz`: audio frequency in the middle of the tones")
	f.BoolVar(&c.Inverted, "b-lower", false, "make B the lower of the two tones")
	f.Float64Var(&c.TurnElements, "turn", 0, "`ELEMENTS` that the turn from tone to tone takes, up to 1; 0 is at once")
	f.Float64Var(&c.PhasingSeconds, "phasing", 0, "`SECONDS` of phasing signals before the text; 0 is 2.24, negative: none")
	f.BoolVar(&c.AlphaFirst, "alpha-first", false, "send the phasing signal alpha in the DX places, RQ in the RX places")
	f.Float64Var(&c.IdleSeconds, "idle", 0, "`SECONDS` of idle signals behind the text; 0 is 2, negative: none")
	f.StringVar(&s.preamble, "preamble", "", "`B1B2B3B4` of a NAVTEX message, such as EA01: station, subject and number (default: plain text)")
	f.IntVar(&s.times, "times", 1, "`N` times the message is sent, up to 20")
	f.Float64Var(&s.pauseSeconds, "pause", 5, "`SECONDS` of silence between them, up to 3600")
}

func (s *sender) SampleRate() float64 { return s.ModeBConfig.SampleRate }

func (s *sender) Sound(text string, amplitude float64, _ uint64) (mode.Sound, error) {
	if p := s.preamble; p != "" {
		if len(p) != 4 || p[0] < 'A' || p[0] > 'X' || p[1] < 'A' || p[1] > 'Z' || strings.Trim(p[2:], "0123456789") != "" {
			return nil, fmt.Errorf("--preamble %q is not a letter A to X, a letter and two figures, such as EA01", p)
		}
		text = "ZCZC " + p + "\n" + strings.TrimRight(text, "\n") + "\nNNNN\n"
	}
	if s.times < 1 || s.times > 20 || !(s.pauseSeconds >= 0 && s.pauseSeconds <= 3600) {
		return nil, fmt.Errorf("--times %d and --pause %g are not within 1 to 20, and 0 to 3600 s", s.times, s.pauseSeconds)
	}
	c := s.ModeBConfig
	c.Text, c.Amplitude = text, amplitude
	k, err := samples.NewModeB(c)
	if err != nil || s.times == 1 {
		return k, err
	}
	return newRepeated(c, s.times, s.pauseSeconds)
}
