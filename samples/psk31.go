package samples

import (
	"fmt"
	"io"
	"math"

	"ionoscribe/psk"
)

// Defaults of PSK31Config: common practice.
const (
	DefaultPSK31PitchHz     = 1000.0
	DefaultPSK31IdleSeconds = 2.0
)

// PSK31Config describes a transmission in 31 Bd phase telegraphy; a zero field is the default.
type PSK31Config struct {
	SampleRate       float64 // Hz
	Text             string
	Charset          string  // its name, see [psk.FindCharset]
	QPSK             bool    // four phases with the convolutional code; otherwise two
	Inverted         bool    // the turns of QPSK go the other way, as a receiver on the other sideband hears it
	PitchHz          float64 // audio frequency of the carrier
	DriftHzPerSecond float64 // by which it changes from the first sample on
	BaudErrorPercent float64 // by which the sender is too fast, within ±1
	IdleSeconds      float64 // of reversals before and after the text, up to an hour; negative: none
	Amplitude        float64 // peak, up to 1
}

// PSK31 is 31 Bd phase telegraphy as receiver audio. The amplitude goes through each change of phase as a cosine (ITU-R M.2034): phasors
// of neighbouring symbols fade over as raised cosines that last a symbol.
type PSK31 struct {
	cfg     PSK31Config
	phasors []complex128 // of each symbol
	symbol  float64      // samples
	power   float64
	total   int64
	n       int64 // next sample
}

// NewPSK31 checks the configuration and prepares the transmission.
func NewPSK31(c PSK31Config) (*PSK31, error) {
	setDefault(&c.SampleRate, DefaultSampleRate)
	setDefault(&c.PitchHz, DefaultPSK31PitchHz)
	setDefault(&c.IdleSeconds, DefaultPSK31IdleSeconds)
	setDefault(&c.Amplitude, DefaultAmplitude)
	if err := c.check(); err != nil {
		return nil, fmt.Errorf("phase telegraphy signal: %w", err)
	}
	charset, err := psk.FindCharset(c.Charset)
	if err != nil {
		return nil, err
	}
	text, err := charset.Bytes(c.Text)
	if err != nil {
		return nil, err
	}
	idle := make([]bool, int(max(c.IdleSeconds, 0)*psk.Baud+0.5))
	bits := append(append(append([]bool{}, idle...), psk.Encode(text)...), idle...)
	turns := psk.BPSK(bits)
	if c.QPSK {
		turns = psk.QPSK(bits)
	}
	p := &PSK31{cfg: c, symbol: c.SampleRate / (psk.Baud * (1 + c.BaudErrorPercent/100))}
	quarter := complex(0, 1)
	if c.Inverted {
		quarter = -quarter
	}
	now := complex(1, 0)
	p.phasors = append(p.phasors, now)
	for _, turn := range turns {
		before := now
		for range turn {
			now *= quarter
		}
		p.phasors = append(p.phasors, now)
		// With a and b fading over as w and 1-w, |.|² has the mean 3/8 + 3/8 + 2/8·cos of the turn.
		p.power += 0.75 + 0.25*real(now*complex(real(before), -imag(before)))
	}
	p.power *= c.Amplitude * c.Amplitude / 2 / float64(max(len(turns), 1))
	p.total = int64(math.Ceil(float64(len(turns))*p.symbol - 1e-6))
	last := c.PitchHz + c.DriftHzPerSecond*p.Duration()
	if !(min(c.PitchHz, last) > psk.Baud && max(c.PitchHz, last) < c.SampleRate/2-psk.Baud) {
		return nil, fmt.Errorf("phase telegraphy signal: pitches from %v to %v Hz are not within 0 and half the sample rate", c.PitchHz, last)
	}
	if p.total == 0 {
		return nil, fmt.Errorf("phase telegraphy signal: no text")
	}
	return p, nil
}

func (c *PSK31Config) check() error {
	switch {
	case !(c.SampleRate >= 1000 && c.SampleRate <= 10e6):
		return fmt.Errorf("sample rate %v Hz is not within 1 kHz to 10 MHz", c.SampleRate)
	case !(math.Abs(c.DriftHzPerSecond) <= 1000):
		return fmt.Errorf("drift of %v Hz/s is not within ±1000", c.DriftHzPerSecond)
	case !(math.Abs(c.BaudErrorPercent) <= 1):
		return fmt.Errorf("an error of the rate of %v %% is not within ±1 %%", c.BaudErrorPercent)
	case !(c.IdleSeconds <= 3600):
		return fmt.Errorf("%v s of idle are longer than an hour", c.IdleSeconds)
	case !(c.Amplitude > 0 && c.Amplitude <= 1):
		return fmt.Errorf("amplitude %v is not within 0 and 1", c.Amplitude)
	}
	return nil
}

// SampleRate is in Hz.
func (p *PSK31) SampleRate() float64 { return p.cfg.SampleRate }

// Power is the mean power of the signal with its dips at reversals: what [NoiseConfig] wants to know.
func (p *PSK31) Power() float64 { return p.power }

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
		k, part := math.Modf(float64(p.n) / p.symbol)
		at := min(int(k), len(p.phasors)-2)
		w := (1 + math.Cos(math.Pi*part)) / 2
		phasor := p.phasors[at]*complex(w, 0) + p.phasors[at+1]*complex(1-w, 0)
		t := float64(p.n) / p.cfg.SampleRate
		cycles := t * (p.cfg.PitchHz + p.cfg.DriftHzPerSecond*t/2)
		sin, cos := math.Sincos(2 * math.Pi * (cycles - math.Floor(cycles)))
		dst[i] = float32(p.cfg.Amplitude * (real(phasor)*cos - imag(phasor)*sin))
		p.n++
	}
	return len(dst), nil
}
