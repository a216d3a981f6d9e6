package psk31

import (
	"github.com/spf13/pflag"

	"ionoscribe/internal/mode"
	"ionoscribe/samples"
)

// sender has the options of the command that sends text.
type sender struct{ samples.PSK31Config }

func (*sender) Help() mode.Help {
	return mode.Help{
		Short: "Send text as phase telegraphy (PSK31) into a recording",
		Long: `Send text as 31 Bd phase telegraphy (ITU-R M.2034) into a WAV recording: two phases (BPSK), or four with a
convolutional code (QPSK). Characters beyond ASCII are those of --charset.`,
		Example: `  ionoscribe synth psk31 --snr -6 -o signal.wav message.txt
  ionoscribe synth psk31 --channel mid-quiet --snr 8 -o - message.txt | ionoscribe psk31 -`,
	}
}

func (s *sender) AddFlags(f *pflag.FlagSet) {
	c := &s.PSK31Config
	f.Float64Var(&c.SampleRate, "rate", samples.DefaultSampleRate, "`Hz`: sample rate")
	f.Float64Var(&c.PitchHz, "pitch", samples.DefaultPSK31PitchHz, "`Hz`: audio frequency of the carrier")
	f.BoolVar(&c.QPSK, "qpsk", false, "send four phases with the convolutional code instead of two")
	f.BoolVar(&c.Inverted, "lower-sideband", false, "turn the four phases the other way, as a receiver on the other sideband hears them")
	addCharset(f, &c.Charset)
	f.Float64Var(&c.BaudErrorPercent, "baud-error", 0, "`PERCENT` by which the sender is too fast, up to 1")
	f.Float64Var(&c.IdleSeconds, "idle", samples.DefaultPSK31IdleSeconds, "`SECONDS` of reversals before and after the text; negative: none")
}

func (s *sender) SampleRate() float64 { return s.PSK31Config.SampleRate }

func (s *sender) Sound(text string, amplitude float64, _ uint64) (mode.Sound, error) {
	c := s.PSK31Config
	c.Text, c.Amplitude = text, amplitude
	return samples.NewPSK31(c)
}
