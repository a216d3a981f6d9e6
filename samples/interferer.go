package samples

import (
	"fmt"
	"math"

	"ionoscribe/demod"
)

// Carrier is a steady tone without end: an unmodulated carrier near the receiver's frequency.
type Carrier struct {
	rate, amplitude float64
	osc             demod.Oscillator
}

// NewCarrier makes a tone: sample rate and frequency in Hz, peak amplitude.
func NewCarrier(rate, hz, amplitude float64) (*Carrier, error) {
	switch {
	case !validRate(rate):
		return nil, fmt.Errorf("carrier: sample rate %v Hz is not within 1 kHz to 10 MHz", rate)
	case !(hz >= 0 && hz < rate/2):
		return nil, fmt.Errorf("carrier: %v Hz is not within 0 and half the sample rate", hz)
	case !validAmplitude(amplitude):
		return nil, fmt.Errorf("carrier: amplitude of %v", amplitude)
	}
	return &Carrier{rate, amplitude, demod.NewOscillator(rate, hz)}, nil
}

func validRate(rate float64) bool { return rate >= 1000 && rate <= 10e6 }

func validAmplitude(a float64) bool { return a >= 0 && a <= 1e15 }

// SampleRate is in Hz.
func (c *Carrier) SampleRate() float64 { return c.rate }

// Power is the mean power.
func (c *Carrier) Power() float64 { return c.amplitude * c.amplitude / 2 }

// ReadSamples implements demod.SampleReader.
func (c *Carrier) ReadSamples(dst []float32) (int, error) {
	for i := range dst {
		dst[i] = float32(c.amplitude) * imag(c.osc.Next())
	}
	return len(dst), nil
}

// Hum is interference from the mains, without end.
//
// It is the mains frequency itself, picked up by induction, and the ripple of a full-wave rectifier into a reservoir
// capacitor, idealised as a saw-tooth at twice the mains frequency: harmonic 2k has amplitude 1/(2k), with the signs
// of the Fourier series of the saw-tooth. That the ripple is half as strong as the mains is common practice, no
// measurement.
type Hum struct {
	rate  float64
	power float64
	wave  []float32 // one period of the mains
	phase uint64    // 2^64 is one period
	step  uint64
}

const (
	// A tone at n times the mains frequency is interpolated with an error of (2πn/8192)²/8 of its amplitude 1/n: at
	// n = 60 that is below -100 dB of the mains.
	humBits = 13
	// MaxHumHz is where the harmonics end; audio above is of no use to a receiver.
	MaxHumHz = 3000.0
)

// NewHum makes hum: sample rate and mains frequency (50 or 60) in Hz, peak amplitude of the mains frequency alone.
func NewHum(rate, mainsHz, amplitude float64) (*Hum, error) {
	switch {
	case !validRate(rate):
		return nil, fmt.Errorf("hum: sample rate %v Hz is not within 1 kHz to 10 MHz", rate)
	case !(mainsHz >= 10 && mainsHz <= 400):
		return nil, fmt.Errorf("hum: mains frequency of %v Hz is not within 10 and 400 Hz", mainsHz)
	case !validAmplitude(amplitude):
		return nil, fmt.Errorf("hum: amplitude of %v", amplitude)
	}
	h := &Hum{rate: rate, wave: make([]float32, 1<<humBits+1), step: uint64(math.Ldexp(mainsHz/rate, 64))}
	h.add(1, amplitude)
	for n := 2; float64(n)*mainsHz <= min(MaxHumHz, 0.49*rate); n += 2 {
		h.add(n, amplitude/float64(n))
	}
	return h, nil
}

// add a harmonic.
func (h *Hum) add(n int, amplitude float64) {
	for i := range h.wave {
		h.wave[i] += float32(amplitude * math.Sin(2*math.Pi*float64(n*i)/float64(len(h.wave)-1)))
	}
	h.power += amplitude * amplitude / 2
}

// SampleRate is in Hz.
func (h *Hum) SampleRate() float64 { return h.rate }

// Power is the mean power with all harmonics.
func (h *Hum) Power() float64 { return h.power }

// ReadSamples implements demod.SampleReader.
func (h *Hum) ReadSamples(dst []float32) (int, error) {
	for i := range dst {
		at := h.phase >> (64 - humBits)
		part := float32(h.phase<<humBits>>40) / (1 << 24)
		a, b := h.wave[at], h.wave[at+1]
		dst[i] = a + part*(b-a)
		h.phase += h.step
	}
	return len(dst), nil
}
