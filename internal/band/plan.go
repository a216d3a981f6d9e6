package band

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"ionoscribe/internal/mode"
	"ionoscribe/internal/modes"
	"ionoscribe/internal/object"
	"ionoscribe/internal/traffic"
	"ionoscribe/samples"
)

// Config of a Plan.
type Config struct {
	Modes                 []*mode.Mode   // nil: all that there are
	Count                 map[string]int // how many transmissions of each mode, up to 100, by its name
	SampleRate            float64        // Hz of complex samples, 12000 to 192000
	Seconds               float64        // length, 60 to 86400
	LowestSNR, HighestSNR float64        // dB in 2500 Hz, -20 to 60; each transmission has one between them
	Seed                  uint64
}

func (c *Config) check() error {
	switch {
	case !(c.SampleRate >= 12000 && c.SampleRate <= 192000):
		return fmt.Errorf("band: sample rate of %v Hz is not within 12 and 192 kHz", c.SampleRate)
	case !(c.Seconds >= 60 && c.Seconds <= 86400):
		return fmt.Errorf("band: a length of %v s is not within 60 and 86400", c.Seconds)
	case !(c.LowestSNR >= -20 && c.LowestSNR <= c.HighestSNR && c.HighestSNR <= 60):
		return fmt.Errorf("band: from %v to %v dB is not within -20 to 60 dB", c.LowestSNR, c.HighestSNR)
	}
	for name, n := range c.Count {
		switch {
		case mode.Find(c.Modes, name) == nil:
			return fmt.Errorf("band: there is no mode %q", name)
		case n < 0 || n > 100:
			return errors.New("band: the number of transmissions of a kind is not within 0 and 100")
		}
	}
	return nil
}

// Transmission is one of a Plan.
type Transmission struct {
	Place
	Settings mode.Settings `json:"-"`
	Content

	mode    *mode.Mode
	seed    uint64
	seconds float64 // that were ordered
}

// Place is where a transmission is: Hz are counted from the centre of the band; seconds from the first sample.
type Place struct {
	Kind         string  `json:"kind"` // name of its mode
	Hz           float64 `json:"hz"`   // of its middle
	StartSeconds float64 `json:"start_seconds"`
	EndSeconds   float64 `json:"end_seconds"`
	SNR          float64 `json:"snr_db"` // in 2500 Hz; of Morse with the key down
}

// Content is what is sent.
type Content struct {
	Lines int    `json:"lines,omitempty"` // of a chart
	Text  string `json:"text,omitempty"`
}

// MarshalJSON has the fields of the settings too.
func (t Transmission) MarshalJSON() ([]byte, error) {
	return object.Join(t.Place, t.mode.Fields(t.Settings), t.Content)
}

// Plan says what is in a band.
type Plan struct {
	SampleRate    float64        `json:"sample_rate_hz"`
	Seconds       float64        `json:"seconds"`
	Seed          uint64         `json:"seed"`
	Transmissions []Transmission `json:"transmissions"` // by frequency
}

// used is the part of the band that transmissions are in; receivers roll off at its ends.
const used = 0.9

// New invents a band.
func New(c Config) (*Plan, error) {
	if c.Modes == nil {
		c.Modes = modes.All
	}
	if err := c.check(); err != nil {
		return nil, err
	}
	r := rand.New(rand.NewPCG(c.Seed, 0x62616e64))
	p := &Plan{SampleRate: c.SampleRate, Seconds: c.Seconds, Seed: c.Seed}
	free := used * c.SampleRate
	for _, m := range c.Modes {
		for range c.Count[m.Name] {
			p.Transmissions = append(p.Transmissions, Transmission{Place: Place{Kind: m.Name}, mode: m})
			free -= 2 * m.RoomHz
		}
	}
	if free < 0 {
		return nil, fmt.Errorf("band: %g Hz are too few for so many transmissions", c.SampleRate)
	}
	r.Shuffle(len(p.Transmissions), func(i, j int) {
		p.Transmissions[i], p.Transmissions[j] = p.Transmissions[j], p.Transmissions[i]
	})
	p.place(r, free)
	for i := range p.Transmissions {
		if err := p.fill(&p.Transmissions[i], c, r); err != nil {
			return nil, err
		}
	}
	return p, nil
}

// place spreads the transmissions over the band, unevenly: many are close to each other, as they are on the air.
func (p *Plan) place(r *rand.Rand, free float64) {
	gaps := make([]float64, len(p.Transmissions)+1)
	sum := 0.0
	for i := range gaps {
		gaps[i] = math.Pow(r.Float64(), 3)
		sum += gaps[i]
	}
	hz := -used / 2 * p.SampleRate
	for i := range p.Transmissions {
		t := &p.Transmissions[i]
		hz += free*gaps[i]/sum + t.mode.RoomHz
		t.Hz = math.Round(hz*10) / 10
		hz += t.mode.RoomHz
	}
}

// mostTries at a transmission that is short enough.
const mostTries = 8

// fill decides the rest of a transmission. Times are such that all of it is within the band.
func (p *Plan) fill(t *Transmission, c Config, r *rand.Rand) error {
	t.seed = r.Uint64()
	t.SNR = math.Round(10*(c.LowestSNR+(c.HighestSNR-c.LowestSNR)*r.Float64())) / 10
	t.StartSeconds = math.Round((2+0.1*p.Seconds*r.Float64())*10) / 10
	length := p.Seconds*(0.98-0.1*r.Float64()) - t.StartSeconds
	t.seconds = length
	for range mostTries {
		v, err := t.invent()
		if err != nil {
			return err
		}
		t.Settings, t.Lines, t.Text = v.Settings, v.Lines, v.Text
		duration := v.Sound.Duration()
		if duration <= length {
			t.EndSeconds = math.Round(1000*(t.StartSeconds+duration)) / 1000
			return nil
		}
		t.seconds *= 0.98 * length / duration
	}
	return fmt.Errorf("band: %g s are too short for %s", p.Seconds, t.mode.Title)
}

// kinds of texts: those that are sent in any mode, without what tunes teleprinters.
var kinds = slices.DeleteFunc(slices.Clone(traffic.Kinds), func(k traffic.Kind) bool { return k == traffic.Marker || k == traffic.Letter })

// invent makes the same transmission each time.
func (t *Transmission) invent() (mode.Invented, error) {
	r := rand.New(rand.NewPCG(t.seed, 0x73656e64))
	v, err := t.mode.Invent(mode.Brief{Random: r, SampleRate: samples.DefaultSampleRate, Low: t.mode.AudioHz, High: t.mode.AudioHz,
		Seconds: t.seconds, ByMachine: true, Seed: t.seed, Text: func(characters int) string {
			return traffic.Message(kinds[r.IntN(len(kinds))], r, max(characters, 1))
		}})
	if err != nil {
		err = fmt.Errorf("band: %w", err)
	}
	return v, err
}
