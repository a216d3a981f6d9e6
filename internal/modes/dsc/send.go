package dsc

import (
	"errors"
	"fmt"
	"strings"

	"github.com/spf13/pflag"

	"ionoscribe/demod"
	"ionoscribe/internal/mode"
	"ionoscribe/rtty/dsc"
	"ionoscribe/samples"
)

// sender has the options of the command that sends text.
type sender struct {
	samples.DSCConfig
	pauseSeconds float64
}

func (*sender) Help() mode.Help {
	return mode.Help{
		Short: "Send selective calls into a recording",
		Long: `Send selective calls (ITU-R M.493) into a WAV recording, one for each line of the text: the parts of a call in the words in
which ionoscribe dsc prints them, with semicolons between. Kinds of calls are: distress alert, all ships call, individual call,
group call, area call.

To transmit a distress alert that is none is an offence, on the air even at low power.`,
		Example: `  ionoscribe synth dsc --snr 0 -o call.wav "distress alert; from 299000001; nature sinking; position unknown; time unknown; then J3E telephone"
  ionoscribe synth dsc --channel mid-moderate -o calls.wav calls.txt`,
	}
}

func (s *sender) AddFlags(f *pflag.FlagSet) {
	c := &s.DSCConfig
	f.Float64Var(&c.SampleRate, "rate", samples.DefaultSampleRate, "`Hz`: sample rate")
	f.BoolVar(&c.VHF, "vhf", false, "send as on VHF: 1200 Bd, tones of 1300 and 2100 Hz")
	f.Float64Var(&c.Baud, "baud", 0, "`BAUD`: elements a second (default: 100, on VHF 1200)")
	f.Float64Var(&c.BaudErrorPercent, "baud-error", 0, "`PERCENT` by which the sender is too fast, up to 1")
	f.Float64Var(&c.ShiftHz, "shift", 0, "`Hz` between the tones (default: 170, on VHF 800)")
	f.Float64Var(&c.CentreHz, "centre", samples.DefaultKeyedCentreHz, "`Hz`: audio frequency in the middle of the tones")
	f.BoolVar(&c.Inverted, "b-lower", false, "make B the lower of the two tones")
	f.Float64Var(&c.TurnElements, "turn", 0, "`ELEMENTS` that the turn from tone to tone takes, up to 1; 0 is at once")
	f.IntVar(&c.Dots, "dots", 0, "`ELEMENTS` of the dot pattern (default: 200, on VHF 20); negative: none")
	f.Float64Var(&s.pauseSeconds, "pause", 2, "`SECONDS` of silence between calls, up to 3600")
}

func (s *sender) SampleRate() float64 { return s.DSCConfig.SampleRate }

func (s *sender) Sound(text string, amplitude float64, _ uint64) (mode.Sound, error) {
	if !(s.pauseSeconds >= 0 && s.pauseSeconds <= 3600) {
		return nil, fmt.Errorf("--pause %g is not within 0 and 3600 s", s.pauseSeconds)
	}
	var all calls
	var parts []demod.SampleReader
	for l := range strings.Lines(text) {
		l = strings.TrimSpace(strings.TrimPrefix(l, "!!"))
		if l == "" {
			continue
		}
		c := s.DSCConfig
		var err error
		if c.Call, err = dsc.Parse(l); err != nil {
			return nil, err
		}
		c.Amplitude = amplitude
		k, err := samples.NewDSC(c)
		if err != nil {
			return nil, err
		}
		if len(parts) > 0 && s.pauseSeconds > 0 {
			parts = append(parts, samples.Silence(k.SampleRate(), s.pauseSeconds))
			all.duration += s.pauseSeconds
		}
		parts = append(parts, k)
		all.duration += k.Duration()
		all.power = k.Power()
	}
	if len(parts) == 0 {
		return nil, errors.New("there is no call to send: write one a line, such as: distress alert; from 299000001; nature sinking; " +
			"position unknown; time unknown; then J3E telephone")
	}
	var err error
	all.SampleReader, err = samples.Concat(parts...)
	return &all, err
}

// calls are some in turn, with silence between.
type calls struct {
	demod.SampleReader
	power, duration float64
}

// Power is that while a call is sent.
func (c *calls) Power() float64    { return c.power }
func (c *calls) Duration() float64 { return c.duration }
