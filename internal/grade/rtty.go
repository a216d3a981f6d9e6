package grade

import (
	"math/rand/v2"
	"strings"

	"ionoscribe/demod"
	"ionoscribe/internal/theory"
	"ionoscribe/internal/traffic"
	"ionoscribe/rtty"
	"ionoscribe/samples"
)

// RTTYCase is what a radioteletype is graded on.
type RTTYCase struct {
	Name             string
	Title            string
	Baud             float64
	ShiftHz          float64
	BaudErrorPercent float64
	Path             samples.Path // before fading and noise
	Drill            bool         // groups of letters and plain text alone, instead of all that is sent
}

// tuneHz to both sides of samples.DefaultRTTYCentreHz the signals are tuned at random.
const tuneHz = 100.0

// crashes are 20 dB stronger than the signal in 2500 Hz: 20 dB above noise that is as strong as the signal.
func crashes(seconds float64) samples.Path {
	return samples.Path{Crashes: &samples.CrashConfig{NoiseConfig: samples.NoiseConfig{SNRdB: -20}, Seconds: seconds, Share: 0.02}}
}

// RTTYCases are those that have a name.
func RTTYCases() []RTTYCase {
	usual := RTTYCase{Name: "usual", Title: "45.45 Bd, 170 Hz", Baud: rtty.Baud45, ShiftHz: 170}
	with := func(name, title string, change func(*RTTYCase)) RTTYCase {
		c := usual
		c.Name, c.Title = name, title
		change(&c)
		return c
	}
	return []RTTYCase{
		usual,
		with("wide", "50 Bd, 450 Hz", func(c *RTTYCase) { c.Baud, c.ShiftHz = 50, 450 }),
		with("carrier", "a carrier 15 dB stronger, 300 Hz above the higher tone", func(c *RTTYCase) {
			c.Path.Interference = []samples.Interferer{{LevelDB: 15}}
		}),
		with("crashes-5ms", "crashes of 5 ms on 2 % of the time, 20 dB stronger than the signal in 2500 Hz", func(c *RTTYCase) {
			c.Path = crashes(0.005)
		}),
		with("crashes-30ms", "the same of 30 ms", func(c *RTTYCase) { c.Path = crashes(0.03) }),
		with("off-rate", "1.5 % too fast, drifting by 0.5 Hz/s", func(c *RTTYCase) {
			c.BaudErrorPercent = 1.5
			c.Path.DriftHzPerSecond = 0.5
		}),
	}
}

// RTTY is the mode of a case.
func RTTY(c RTTYCase) TextMode {
	message := traffic.Any
	if c.Drill {
		message = rttyMessage
	}
	return TextMode{
		Name: "rtty", Title: "radioteletype", SampleRate: samples.DefaultSampleRate,
		Message: message,
		Send:    c.send,
		Receive: func(src demod.SampleReader) (heard []HeardChar, err error) {
			rate := src.SampleRate()
			for ch, err := range rtty.All(src, rtty.Config{}) {
				if err != nil {
					return heard, err
				}
				heard = append(heard, HeardChar{ch.Rune, float64(ch.At) / rate, ch.Confidence})
			}
			return heard, nil
		},
		Theory: c.theory,
	}
}

func (c RTTYCase) send(message string, rng *rand.Rand) (TextSignal, error) {
	centre := samples.DefaultRTTYCentreHz + tuneHz*(2*rng.Float64()-1)
	s, err := samples.NewRTTY(samples.RTTYConfig{
		Text: message, Baud: c.Baud, ShiftHz: c.ShiftHz, BaudErrorPercent: c.BaudErrorPercent, CentreHz: centre,
	})
	if err != nil {
		return TextSignal{}, err
	}
	path := c.Path
	path.Seed = rng.Uint64()
	if len(path.Interference) > 0 {
		carrier := path.Interference[0]
		carrier.Source = samples.CarrierAt(centre + c.ShiftHz/2 + 300)
		path.Interference = []samples.Interferer{carrier}
	}
	src, err := path.Through(s, s.Power())
	return TextSignal{Source: src, Power: s.Power(), Start: samples.DefaultIdleSeconds}, err
}

func (c RTTYCase) theory(channel *samples.Channel) []theory.Curve {
	if channel != nil {
		return []theory.Curve{
			theory.FSK{Baud: c.Baud, Paths: 1}.Curve(),
			theory.FSK{Baud: c.Baud, Paths: 2}.Curve(),
		}
	}
	return []theory.Curve{theory.FSK{Baud: c.Baud}.Curve(), theory.FSK{Baud: c.Baud, Coherent: true}.Curve()}
}

// rttyMessage is five-letter groups of random letters or plain text in lines, one as often as the other.
func rttyMessage(rng *rand.Rand, characters int) string {
	var s strings.Builder
	groups := rng.IntN(2) == 0
	column := 0
	for s.Len() < characters {
		w := traffic.Word(rng)
		if groups {
			w = traffic.Group(rng)
		}
		switch {
		case column == 0:
		case column+1+len(w) > 64:
			s.WriteByte('\n')
			column = 0
		default:
			s.WriteByte(' ')
			column++
		}
		s.WriteString(w)
		column += len(w)
	}
	text := []byte(s.String()[:characters])
	if last := text[characters-1]; last == ' ' || last == '\n' { // white space at the end is no character to miss
		text[characters-1] = 'X'
	}
	return string(text)
}
