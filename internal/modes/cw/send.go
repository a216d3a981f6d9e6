package cw

import (
	"fmt"
	"math"
	"slices"

	"github.com/spf13/pflag"

	"ionoscribe/internal/flags"
	"ionoscribe/internal/mode"
	"ionoscribe/samples"
)

// sender has the options of the command that sends text.
type sender struct {
	samples.CWConfig
	hand   string
	speeds []string
}

func (*sender) Help() mode.Help {
	return mode.Help{
		Short: "Send text as Morse code into a recording",
		Long: `Send text as Morse code (ITU-R M.1677-1) into a WAV recording.

Procedure signals are written in angle brackets, such as <AS>.`,
		Example: `  ionoscribe synth cw --snr 0 -o signal.wav message.txt
  ionoscribe synth cw --wpm 18 --sender straight --channel mid-moderate -o - message.txt | ionoscribe cw -`,
	}
}

// hands are the names of the options for each [samples.CWSender].
var hands = []string{"machine", "paddle", "straight", "semi-automatic"}

func (s *sender) AddFlags(f *pflag.FlagSet) {
	c := &s.CWConfig
	f.Float64Var(&c.SampleRate, "rate", samples.DefaultSampleRate, "`Hz`: sample rate")
	f.Float64Var(&c.WPM, "wpm", samples.DefaultWPM, "`SPEED` in words a minute")
	f.Float64Var(&c.FarnsworthWPM, "text-wpm", 0, "`SPEED` of the text, slower than its characters, by wider gaps (Farnsworth); 0: the same")
	f.StringArrayVar(&s.speeds, "change", nil, "change of speed, `AT,WPM`: after so many characters; can be repeated")
	f.Float64Var(&c.PitchHz, "pitch", samples.DefaultPitchHz, "`Hz`: audio frequency")
	f.StringVar(&s.hand, "sender", "machine", "`HAND` that sends: machine, paddle, straight or semi-automatic")
	flags.Choices(f, "sender", hands...)
	f.Float64Var(&c.Jitter, "jitter", 0, "`SHARE` by which the lengths that a hand makes stray, up to 0.3; 0: 0.12")
	f.Float64Var(&c.WeightPercent, "weight", samples.DefaultWeightPercent, "`PERCENT` of a dot and its gap that the dot takes, 30 to 70")
	f.Float64Var(&c.DashRatio, "dash-ratio", samples.DefaultDashRatio, "`DOTS` that a dash lasts, 2 to 5")
	f.Float64Var(&c.EdgeSeconds, "edge", samples.DefaultEdgeSeconds, "`SECONDS` that the signal takes to rise and to fall; negative: none")
	f.Float64Var(&c.ChirpHz, "chirp", 0, "`Hz` by which the pitch is higher when the key goes down")
	f.Float64Var(&c.ChirpSeconds, "chirp-time", samples.DefaultChirpSeconds, "`SECONDS` in which that dies away")
	f.Float64Var(&c.HumDepth, "ripple", 0, "`DEPTH` of a hum on the tone, 0 to 1")
	f.Float64Var(&c.HumHz, "ripple-hz", samples.DefaultHumModulationHz, "`Hz` of that hum")
	f.Float64Var(&c.LeadSeconds, "lead", samples.DefaultCWSilenceSeconds, "`SECONDS` of silence before the text; negative: none")
	f.Float64Var(&c.TrailSeconds, "trail", samples.DefaultCWSilenceSeconds, "`SECONDS` of silence behind it; negative: none")
}

func (s *sender) SampleRate() float64 { return s.CWConfig.SampleRate }

func (s *sender) Sound(text string, amplitude float64, seed uint64) (mode.Sound, error) {
	c := s.CWConfig
	hand := slices.Index(hands, s.hand)
	if hand < 0 {
		return nil, fmt.Errorf("--sender %q is none of machine, paddle, straight, semi-automatic", s.hand)
	}
	for _, change := range s.speeds {
		v, err := flags.Numbers(change, 2)
		if err != nil || v[0] != math.Trunc(v[0]) || math.Abs(v[0]) > math.MaxInt32 {
			return nil, fmt.Errorf("--change %s: a number of characters and a speed are wanted", change)
		}
		c.Speeds = append(c.Speeds, samples.CWSpeed{At: int(v[0]), WPM: v[1]})
	}
	c.Text, c.Sender, c.Seed, c.Amplitude = oneLine(text), samples.CWSender(hand), seed, amplitude
	return samples.NewCW(c)
}
