package samples

import (
	"errors"
	"fmt"
	"io"
	"math"

	"ionoscribe/psk"
)

// PSK31Config describes a transmission of 31 Bd phase telegraphy (ITU-R M.2034); a zero field is the default.
type PSK31Config struct {
	Text             string  // what to send; required
	SampleRate       float64 // Hz
	PitchHz          float64 // audio frequency of the carrier; 1000
	BaudErrorPercent float64 // by which the sender is too fast, within ±1
	// Idle before and behind the text: reversals before, and steady carrier behind it (common practice). 1 s; a negative one leaves
	// it out.
	LeadSeconds, TrailSeconds float64
	Amplitude                 float64 // peak, up to 1
}

const defaultPSKPitchHz = 1000.0

// PSK31 is a transmission of 31 Bd phase telegraphy as receiver audio: the carrier is reversed for a 0, and its amplitude follows a
// cosine from symbol to symbol, so that it passes through zero where it is reversed.
type PSK31 struct {
	cfg     PSK31Config
	symbols []int8 // 1 or -1; 0 before and behind them
	symbol  float64
	total   int64
	n       int64
}

// NewPSK31 checks the configuration and prepares the transmission.
func NewPSK31(c PSK31Config) (*PSK31, error) {
	setDefault(&c.SampleRate, DefaultSampleRate)
	setDefault(&c.PitchHz, defaultPSKPitchHz)
	setDefault(&c.LeadSeconds, DefaultIdleSeconds)
	setDefault(&c.TrailSeconds, DefaultIdleSeconds)
	setDefault(&c.Amplitude, DefaultAmplitude)
	bits, err := psk.Encode(c.Text)
	switch {
	case err != nil:
		return nil, err
	case !(c.SampleRate >= 1000 && c.SampleRate <= 10e6):
		err = fmt.Errorf("sample rate %v Hz is not within 1 kHz to 10 MHz", c.SampleRate)
	case !(c.PitchHz > 2*psk.Baud && c.PitchHz < c.SampleRate/2-2*psk.Baud):
		err = fmt.Errorf("a pitch of %v Hz is not within 63 Hz and half the sample rate", c.PitchHz)
	case !(math.Abs(c.BaudErrorPercent) <= 1):
		err = fmt.Errorf("an error of the rate of %v %% is not within ±1 %%", c.BaudErrorPercent)
	case !(c.LeadSeconds <= 3600 && c.TrailSeconds <= 3600):
		err = errors.New("idle before or after the text is longer than an hour")
	case !(c.Amplitude > 0 && c.Amplitude <= 1):
		err = fmt.Errorf("amplitude %v is not within 0 and 1", c.Amplitude)
	case len(bits) == 0:
		err = errors.New("no text")
	}
	if err != nil {
		return nil, fmt.Errorf("31 Bd signal: %w", err)
	}
	count := func(seconds float64) int { return int(max(seconds, 0)*psk.Baud + 0.5) }
	p := &PSK31{cfg: c, symbol: c.SampleRate / (psk.Baud * (1 + c.BaudErrorPercent/100))}
	at := int8(1)
	p.symbols = append(p.symbols, at)
	put := func(bit bool) {
		if !bit {
			at = -at
		}
		p.symbols = append(p.symbols, at)
	}
	for range count(c.LeadSeconds) {
		put(false)
	}
	for _, b := range bits {
		put(b)
	}
	for range count(c.TrailSeconds) {
		put(true)
	}
	p.total = int64(math.Ceil(float64(len(p.symbols)+1) * p.symbol))
	return p, nil
}

// SampleRate is in Hz.
func (p *PSK31) SampleRate() float64 { return p.cfg.SampleRate }

// Power is the mean power of the signal: A²/2 of a steady carrier, half of that between symbols of which one is reversed.
func (p *PSK31) Power() float64 {
	sum := 2 * 3.0 / 8 // the mean square of (1+cos)/2 at both ends
	for i, s := range p.symbols[1:] {
		if s == p.symbols[i] {
			sum++
		} else {
			sum += 0.5
		}
	}
	return p.cfg.Amplitude * p.cfg.Amplitude / 2 * sum / float64(len(p.symbols)+1)
}

// Duration is the length of the whole transmission in seconds.
func (p *PSK31) Duration() float64 { return float64(p.total) / p.cfg.SampleRate }

// ReadSamples implements demod.SampleReader; it allocates nothing.
func (p *PSK31) ReadSamples(dst []float32) (int, error) {
	if p.n >= p.total {
		return 0, io.EOF
	}
	if left := p.total - p.n; int64(len(dst)) > left {
		dst = dst[:left]
	}
	for i := range dst {
		at := float64(p.n)/p.symbol - 1 // in symbols, the first of which is at 0
		k := math.Floor(at)
		w := 0.5 + 0.5*math.Cos(math.Pi*(at-k))
		level := w*p.sign(int(k)) + (1-w)*p.sign(int(k)+1)
		cycles := float64(p.n) * p.cfg.PitchHz / p.cfg.SampleRate
		dst[i] = float32(p.cfg.Amplitude * level * math.Cos(2*math.Pi*(cycles-math.Floor(cycles))))
		p.n++
	}
	return len(dst), nil
}

func (p *PSK31) sign(i int) float64 {
	if i < 0 || i >= len(p.symbols) {
		return 0
	}
	return float64(p.symbols[i])
}
