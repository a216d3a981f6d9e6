package samples

import (
	"fmt"
	"math"
	"math/rand/v2"
)

// Speech is noise that is like speech in its long-term spectrum and in the rhythm of its syllables, without end:
// what a neighbour on the telephone leaves in a receiver's band.
//
// The spectrum is that of ITU-T P.50 (artificial voices), within the 300 to 3000 Hz of an HF telephone channel; the
// rhythm is about 4 syllables a second, where the modulation of speech is strongest (Houtgast and Steeneken, 1985).
// Both are from memory. Each syllable swells and fades as half a sine; its length and strength are drawn, and one in
// three is a pause (common practice: speech is there for some two thirds of the time).
type Speech struct {
	rate, power float64
	rng         *rand.Rand
	taps        []float32
	past        []float32 // white noise, len(taps)-1 of the past before a block

	amplitude    float64 // at the top of the syllable
	left         int     // samples of the syllable to come
	swell, slope complex128
}

const (
	speechLowHz, speechHighHz = 300.0, 3000.0
	speechTapSeconds          = 0.010 // resolves 200 Hz
	speechBlock               = 1024

	// Length of a syllable: uniform, 0.25 s in the mean.
	syllableMin, syllableMax = 0.15, 0.35
	syllablePause            = 1.0 / 3
	syllableDB               = 4.0 // standard deviation of the strength
)

// speechDensityDB is the long-term power density of speech by ITU-T P.50 (from memory), in dB SPL over 1 Hz, valid
// from 100 Hz to 8 kHz.
func speechDensityDB(hz float64) float64 {
	l := math.Log10(hz)
	return -376.44 + l*(465.439+l*(-157.745+l*16.7124))
}

// NewSpeech makes speech-like noise: sample rate in Hz and mean power.
func NewSpeech(rate, power float64, seed uint64) (*Speech, error) {
	switch {
	case !(rate >= 2*speechHighHz && rate <= 10e6):
		return nil, fmt.Errorf("speech: sample rate %v Hz is not within 6 kHz to 10 MHz", rate)
	case !(power >= 0 && power <= 1e30):
		return nil, fmt.Errorf("speech: power of %v", power)
	}
	s := &Speech{rate: rate, power: power, rng: rand.New(rand.NewPCG(seed, 0x737065656368)), taps: speechTaps(rate)}
	s.past = make([]float32, len(s.taps)-1+speechBlock)
	for i := range s.past[:len(s.taps)-1] {
		s.past[i] = float32(s.rng.NormFloat64())
	}
	return s, nil
}

// speechTaps is a filter that gives white noise of power 1 the spectrum, and keeps the power. The taps are the inverse
// Fourier transform of the amplitudes at every 10 Hz, cut by a Hann window.
func speechTaps(rate float64) []float32 {
	half := int(rate * speechTapSeconds / 2)
	h, energy := make([]float64, 2*half+1), 0.0
	for i := range h {
		for hz := speechLowHz; hz <= speechHighHz; hz += 10 {
			h[i] += math.Pow(10, speechDensityDB(hz)/20) * math.Cos(2*math.Pi*hz*float64(i-half)/rate)
		}
		c := math.Cos(math.Pi / 2 * float64(i-half) / float64(half+1))
		h[i] *= c * c
		energy += h[i] * h[i]
	}
	taps := make([]float32, len(h))
	for i, v := range h {
		taps[i] = float32(v / math.Sqrt(energy))
	}
	return taps
}

// SampleRate is in Hz.
func (s *Speech) SampleRate() float64 { return s.rate }

// Power is the mean power.
func (s *Speech) Power() float64 { return s.power }

// ReadSamples implements demod.SampleReader.
func (s *Speech) ReadSamples(dst []float32) (int, error) {
	before := len(s.taps) - 1
	dst = dst[:min(len(dst), speechBlock)]
	for i := range dst {
		if s.left == 0 {
			s.syllable()
		}
		s.past[before+i] = float32(s.rng.NormFloat64())
		sum := float32(0)
		if s.amplitude != 0 {
			w := s.past[i:][:len(s.taps)]
			for k, c := range s.taps {
				sum += c * w[k]
			}
			s.swell *= s.slope
		}
		dst[i] = sum * float32(s.amplitude*imag(s.swell))
		s.left--
	}
	copy(s.past, s.past[len(dst):][:before])
	return len(dst), nil
}

// syllable begins the next one. Half a sine has a mean square of 1/2, and 10^(g/10) of a Gaussian g of deviation s has
// the mean exp((s·ln10/10)²/2); length and strength are independent, so the mean power over time is that asked for.
func (s *Speech) syllable() {
	length := syllableMin + (syllableMax-syllableMin)*s.rng.Float64()
	s.left = max(1, int(math.Round(length*s.rate)))
	pause, g := s.rng.Float64() < syllablePause, syllableDB*s.rng.NormFloat64()
	s.amplitude = 0
	if !pause {
		spread := syllableDB * math.Ln10 / 10
		s.amplitude = math.Sqrt(s.power * 2 / (1 - syllablePause) * math.Pow(10, g/10) / math.Exp(spread*spread/2))
	}
	sin, cos := math.Sincos(math.Pi / float64(s.left))
	s.slope = complex(cos, sin)
	sin, cos = math.Sincos(math.Pi / float64(s.left) / 2) // the middle of the first sample, not yet turned
	s.swell = complex(cos, sin) / s.slope
}
