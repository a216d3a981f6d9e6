package band

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
)

// Kinds of transmissions.
const (
	Morse       = "cw"
	Teleprinter = "rtty"
	Fax         = "fax"
)

// Config of a Plan.
type Config struct {
	SampleRate float64 // Hz of complex samples, 12000 to 192000
	Seconds    float64 // length, 60 to 86400
	Morse      int     // how many transmissions of each kind, up to 100
	Teleprinter,
	Fax int
	LowestSNR, HighestSNR float64 // dB in 2500 Hz, -20 to 60; each transmission has one between them
	Seed                  uint64
}

// Transmission is one of a Plan. Hz are counted from the centre of the band; seconds from the first sample.
type Transmission struct {
	Kind         string  `json:"kind"`
	Hz           float64 `json:"hz"` // of a teleprinter and of a fax the middle of their two tones
	StartSeconds float64 `json:"start_seconds"`
	EndSeconds   float64 `json:"end_seconds"`
	SNR          float64 `json:"snr_db"` // in 2500 Hz; of Morse with the key down

	WPM        float64 `json:"wpm,omitempty"`
	Baud       float64 `json:"baud,omitempty"`
	ShiftHz    float64 `json:"shift_hz,omitempty"`
	MarkHigher bool    `json:"mark_higher,omitempty"`
	LPM        float64 `json:"lpm,omitempty"`
	IOC        int     `json:"ioc,omitempty"`
	Lines      int     `json:"lines,omitempty"`
	Text       string  `json:"text,omitempty"`

	seed uint64
}

// Plan says what is in a band.
type Plan struct {
	SampleRate    float64        `json:"sample_rate_hz"`
	Seconds       float64        `json:"seconds"`
	Seed          uint64         `json:"seed"`
	Transmissions []Transmission `json:"transmissions"` // by frequency
}

// room is what a transmission of each kind has to itself, Hz on each side of its middle: its bandwidth (ITU-R SM.1138:
// 50 to 100 Hz for Morse, some 1.3 kHz for a shift of 850 Hz, 2.2 kHz for fax) and what keeps the next away.
var room = map[string]float64{Morse: 250, Teleprinter: 900, Fax: 1700}

// used is the part of the band that transmissions are in; receivers roll off at its ends.
const used = 0.9

// New invents a band.
func New(c Config) (*Plan, error) {
	switch {
	case !(c.SampleRate >= 12000 && c.SampleRate <= 192000):
		return nil, fmt.Errorf("band: sample rate of %v Hz is not within 12 and 192 kHz", c.SampleRate)
	case !(c.Seconds >= 60 && c.Seconds <= 86400):
		return nil, fmt.Errorf("band: a length of %v s is not within 60 and 86400", c.Seconds)
	case min(c.Morse, c.Teleprinter, c.Fax) < 0 || max(c.Morse, c.Teleprinter, c.Fax) > 100:
		return nil, errors.New("band: the number of transmissions of a kind is not within 0 and 100")
	case !(c.LowestSNR >= -20 && c.LowestSNR <= c.HighestSNR && c.HighestSNR <= 60):
		return nil, fmt.Errorf("band: from %v to %v dB is not within -20 to 60 dB", c.LowestSNR, c.HighestSNR)
	}
	r := rand.New(rand.NewPCG(c.Seed, 0x62616e64))
	p := &Plan{SampleRate: c.SampleRate, Seconds: c.Seconds, Seed: c.Seed}
	taken := 0.0
	for kind, n := range map[string]int{Morse: c.Morse, Teleprinter: c.Teleprinter, Fax: c.Fax} {
		taken += 2 * room[kind] * float64(n)
	}
	free := used*c.SampleRate - taken
	if free < 0 {
		return nil, fmt.Errorf("band: %g Hz are too few for so many transmissions", c.SampleRate)
	}
	for range c.Morse {
		p.add(Morse)
	}
	for range c.Teleprinter {
		p.add(Teleprinter)
	}
	for range c.Fax {
		p.add(Fax)
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

func (p *Plan) add(kind string) {
	p.Transmissions = append(p.Transmissions, Transmission{Kind: kind})
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
		hz += free*gaps[i]/sum + room[t.Kind]
		t.Hz = math.Round(hz*10) / 10
		hz += room[t.Kind]
	}
}

// fill decides the rest of a transmission. Times are such that all of it is within the band.
func (p *Plan) fill(t *Transmission, c Config, r *rand.Rand) error {
	t.seed = r.Uint64()
	t.SNR = math.Round(10*(c.LowestSNR+(c.HighestSNR-c.LowestSNR)*r.Float64())) / 10
	t.StartSeconds = math.Round((2+0.1*p.Seconds*r.Float64())*10) / 10
	length := p.Seconds*(0.98-0.1*r.Float64()) - t.StartSeconds
	switch t.Kind {
	case Morse:
		t.WPM = float64(12 + r.IntN(24))
	case Teleprinter:
		t.Baud, t.ShiftHz = 45.45, 170
		if r.IntN(2) == 0 { // the other is common practice of weather broadcasts
			t.Baud, t.ShiftHz = 50, 450
		}
		t.MarkHigher = r.IntN(2) == 0
	case Fax:
		t.LPM, t.IOC = 120, 576
		// A chart of at most ten minutes; start, phasing, stop and black take 50 s.
		t.Lines = min(1200, int((length-50)*t.LPM/60))
		if t.Lines < 10 {
			return fmt.Errorf("band: %g s are too short for a chart", p.Seconds)
		}
	}
	if t.Kind != Fax {
		t.Text = fit(t, length, r)
	}
	_, duration, err := t.source()
	for err == nil && duration > length && t.Kind != Fax { // by chance the text is long
		end := int(float64(len(t.Text)) * length / duration)
		if space := strings.LastIndexAny(t.Text[:end], " \n"); space > 0 {
			end = space
		}
		t.Text = strings.TrimSpace(t.Text[:end])
		_, duration, err = t.source()
	}
	if err != nil {
		return err
	}
	t.EndSeconds = math.Round(1000*(t.StartSeconds+duration)) / 1000
	return nil
}
