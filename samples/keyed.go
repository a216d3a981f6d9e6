package samples

import (
	"errors"
	"fmt"
	"io"
	"math"
)

// KeyedConfig describes elements of one length that follow each other without a break; a zero field is the default. It is what
// synchronous codes have in common.
type KeyedConfig struct {
	SampleRate       float64 // Hz
	Baud             float64 // elements a second; 100
	BaudErrorPercent float64 // by which the sender is too fast, within ±1
	CentreHz         float64 // audio frequency midway between the tones; 1700
	ShiftHz          float64 // distance of the tones; 170
	// Inverted makes the tone of elements that are true the lower one, as a receiver on the other sideband hears it.
	Inverted bool
	// TurnElements is the length of the raised-cosine turn from one frequency to the other, in elements up to 1, centred on the
	// edge. 0: the frequency changes at once.
	TurnElements float64
	Amplitude    float64 // peak, up to 1
}

// Defaults of KeyedConfig: 100 Bd, 170 Hz, and tones of 1615 and 1785 Hz in audio (ITU-R M.476-5, M.493, from memory).
const (
	DefaultKeyedBaud     = 100.0
	DefaultKeyedCentreHz = 1700.0
)

// Keyed is frequency-shift keying with continuous phase of synchronous elements.
type Keyed struct {
	cfg      KeyedConfig
	elements []bool
	element  float64 // samples
	total    int64

	n      int64 // next sample
	k      int   // present element
	cycles float64
	run    stretch
}

// NewKeyed keys elements, which must not change meanwhile.
func NewKeyed(elements []bool, c KeyedConfig) (*Keyed, error) {
	setDefault(&c.SampleRate, DefaultSampleRate)
	setDefault(&c.Baud, DefaultKeyedBaud)
	setDefault(&c.CentreHz, DefaultKeyedCentreHz)
	setDefault(&c.ShiftHz, DefaultShiftHz)
	setDefault(&c.Amplitude, DefaultAmplitude)
	if err := c.check(len(elements)); err != nil {
		return nil, fmt.Errorf("keyed signal: %w", err)
	}
	k := &Keyed{cfg: c, elements: elements, element: c.SampleRate / (c.Baud * (1 + c.BaudErrorPercent/100))}
	k.total = int64(math.Ceil(float64(len(elements))*k.element - 1e-6))
	k.run = stretch{step: k.step(0), end: k.turnStart(0)}
	return k, nil
}

func (c *KeyedConfig) check(elements int) error {
	switch {
	case !(c.SampleRate >= 1000 && c.SampleRate <= 10e6):
		return fmt.Errorf("sample rate %v Hz is not within 1 kHz to 10 MHz", c.SampleRate)
	case !(c.Baud >= 10 && c.Baud <= c.SampleRate/4):
		return fmt.Errorf("%v Bd are not within 10 Bd and a quarter of the sample rate", c.Baud)
	case !(math.Abs(c.BaudErrorPercent) <= 1):
		return fmt.Errorf("an error of the rate of %v %% is not within ±1 %%", c.BaudErrorPercent)
	case !(c.ShiftHz > 0 && c.CentreHz-c.ShiftHz/2 > 0 && c.CentreHz+c.ShiftHz/2 < c.SampleRate/2):
		return fmt.Errorf("centre %v Hz ± half the shift of %v Hz is not within 0 and half the sample rate", c.CentreHz, c.ShiftHz)
	case !(c.TurnElements >= 0 && c.TurnElements <= 1):
		return fmt.Errorf("a turn of %v elements is not within 0 and 1", c.TurnElements)
	case !(c.Amplitude > 0 && c.Amplitude <= 1):
		return fmt.Errorf("amplitude %v is not within 0 and 1", c.Amplitude)
	case elements == 0:
		return errors.New("nothing to send")
	}
	return nil
}

// SampleRate is in Hz.
func (k *Keyed) SampleRate() float64 { return k.cfg.SampleRate }

// Power is the mean power of the signal, A²/2 for a sine wave of peak A: what [NoiseConfig] wants to know.
func (k *Keyed) Power() float64 { return k.cfg.Amplitude * k.cfg.Amplitude / 2 }

// Duration is the length of the whole transmission in seconds.
func (k *Keyed) Duration() float64 { return float64(k.total) / k.cfg.SampleRate }

// ReadSamples implements demod.SampleReader; it allocates nothing.
func (k *Keyed) ReadSamples(dst []float32) (int, error) {
	if k.n >= k.total {
		return 0, io.EOF
	}
	if left := k.total - k.n; int64(len(dst)) > left {
		dst = dst[:left]
	}
	for i := range dst {
		t := float64(k.n)
		for t >= k.run.end {
			k.nextRun()
		}
		cycles := k.cycles + k.run.cycles(t)
		dst[i] = float32(k.cfg.Amplitude * math.Sin(2*math.Pi*(cycles-math.Floor(cycles))))
		k.n++
	}
	return len(dst), nil
}

// nextRun moves on to the next stretch: of an element, or from one element to the next.
func (k *Keyed) nextRun() {
	end := k.run.end
	k.cycles += k.run.cycles(end)
	k.cycles -= math.Floor(k.cycles)
	turned := k.run.turn != 0
	if !turned {
		k.k++
	}
	now := k.step(k.k)
	k.run = stretch{start: end, step: now, end: k.turnStart(k.k)}
	if before := k.step(k.k - 1); !turned && now != before && k.cfg.TurnElements > 0 {
		k.run = stretch{start: end, step: before, turn: now - before, end: (float64(k.k) + k.cfg.TurnElements/2) * k.element}
	}
}

// turnStart is where the frequency begins to leave that of an element, in samples.
func (k *Keyed) turnStart(i int) float64 {
	if i >= len(k.elements)-1 {
		return math.Inf(1)
	}
	return (float64(i+1) - k.cfg.TurnElements/2) * k.element
}

// step is the frequency of an element in cycles a sample.
func (k *Keyed) step(i int) float64 {
	half := k.cfg.ShiftHz / 2
	if k.elements[i] == k.cfg.Inverted {
		half = -half
	}
	return (k.cfg.CentreHz + half) / k.cfg.SampleRate
}
