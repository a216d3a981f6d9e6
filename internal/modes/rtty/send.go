package rtty

import (
	"github.com/spf13/pflag"

	"ionoscribe/internal/flags"
	"ionoscribe/internal/mode"
	"ionoscribe/samples"
)

// sender has the options of the command that sends text.
type sender struct {
	samples.RTTYConfig
	alphabet string
}

func (*sender) Help() mode.Help {
	return mode.Help{
		Short: "Send text as radioteletype into a recording",
		Long: `Send text as radioteletype into a WAV recording: start-stop telegraphy by frequency-shift keying whose phase
never jumps.`,
		Example: `  ionoscribe synth rtty --snr 0 -o signal.wav message.txt
  ionoscribe synth rtty --baud 50 --shift 450 --channel mid-disturbed -o - bulletin.txt | ionoscribe rtty -`,
	}
}

func (s *sender) AddFlags(f *pflag.FlagSet) {
	c := &s.RTTYConfig
	f.Float64Var(&c.SampleRate, "rate", samples.DefaultSampleRate, "`Hz`: sample rate")
	f.Float64Var(&c.Baud, "baud", samples.DefaultBaud, "`BAUD`: elements a second")
	f.Float64Var(&c.BaudErrorPercent, "baud-error", 0, "`PERCENT` by which the sender is too fast, up to 5")
	f.Float64Var(&c.ShiftHz, "shift", samples.DefaultShiftHz, "`Hz` between mark and space")
	f.Float64Var(&c.CentreHz, "centre", samples.DefaultRTTYCentreHz, "`Hz`: audio frequency in the middle of mark and space")
	f.BoolVar(&c.Inverted, "mark-higher", false, "make mark the higher of the two tones")
	f.StringVar(&s.alphabet, "alphabet", "ita2", "`NAME` of the alphabet: ita2, us (ITA2 with US figures), ascii7 or ascii8")
	flags.Choices(f, "alphabet", alphabetNames...)
	f.BoolVar(&c.Encoder.DoubleReturn, "double-return", false, "send two carriage returns for a new line, as bulletins have it")
	f.BoolVar(&c.Encoder.ShiftAfterSpace, "shift-after-space", false, "send the figures shift again after a space")
	f.Float64Var(&c.StopElements, "stop", samples.DefaultStopElements, "`ELEMENTS` that a stop element lasts, 1 to 10")
	f.Float64Var(&c.StopJitter, "stop-jitter", 0, "`ELEMENTS` by which it is longer at random")
	f.Float64Var(&c.GapSeconds, "gap", 0, "`SECONDS` of idle time after a character, in the mean, as of someone who types")
	f.BoolVar(&c.Diddle, "diddle", false, "send idle characters instead of steady mark")
	f.Float64Var(&c.TurnElements, "turn", 0, "`ELEMENTS` that the turn from tone to tone takes, up to 1; 0 is at once")
	f.Float64Var(&c.LeadSeconds, "lead", samples.DefaultIdleSeconds, "`SECONDS` of idle mark before the text; negative: none")
	f.Float64Var(&c.TrailSeconds, "trail", samples.DefaultIdleSeconds, "`SECONDS` of idle mark behind it; negative: none")
}

func (s *sender) SampleRate() float64 { return s.RTTYConfig.SampleRate }

func (s *sender) Sound(text string, amplitude float64, seed uint64) (mode.Sound, error) {
	a, err := alphabet(s.alphabet)
	if err != nil {
		return nil, err
	}
	c := s.RTTYConfig
	c.Text, c.Encoder.Alphabet, c.Seed, c.Amplitude = text, a, seed, amplitude
	return samples.NewRTTY(c)
}
