package samples

import (
	"fmt"
	"math"
	"math/rand/v2"

	"ionoscribe/demod"
)

// Speech is noise that is like speech in its long-term spectrum and in the rhythm of its syllables, without end:
// what a neighbour on the telephone leaves in a receiver's band.
//
// The spectrum is that of ITU-T P.50 (artificial voices), within the 300 to 3000 Hz of an HF telephone channel; the
// rhythm is about 4 syllables a second, where the modulation of speech is strongest (Houtgast and Steeneken, 1985).
// Both are from memory. Each syllable swells and fades as half a sine; its length and strength are drawn, and one in
// four is a pause (common practice).
type Speech struct {
	rate, power float64
	rng, beat   *rand.Rand // of the noise, of the syllables
	filter      *demod.FIR

	amplitude    float64 // at the top of the syllable
	left         int     // samples of the syllable to come
	swell, slope complex128
}

const (
	speechLowHz, speechHighHz = 300.0, 3000.0
	speechTapSeconds          = 0.010 // resolves 200 Hz

	// Length of a syllable: uniform, 0.25 s in the mean.
	syllableMin, syllableMax = 0.2, 0.3
	syllablePause            = 0.25
	syllableDB               = 3.0 // standard deviation of the strength
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
	s := &Speech{rate: rate, power: power, rng: rand.New(rand.NewPCG(seed, 0x737065656368)),
		beat: rand.New(rand.NewPCG(seed, 0x73796c6c)), filter: demod.NewFIR(speechTaps(rate))}
	s.noise(make([]float32, int(rate*speechTapSeconds)+1)) // fills the filter
	return s, nil
}

// speechTaps is a filter that gives white noise of power 1 the spectrum, and keeps the power. The taps are the inverse
// Fourier transform of the amplitudes at every 10 Hz, cut by a Hann window.
func speechTaps(rate float64) []float64 {
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
	for i := range h {
		h[i] /= math.Sqrt(energy)
	}
	return h
}

// SampleRate is in Hz.
func (s *Speech) SampleRate() float64 { return s.rate }

// Power is the mean power.
func (s *Speech) Power() float64 { return s.power }

// ReadSamples implements demod.SampleReader.
func (s *Speech) ReadSamples(dst []float32) (int, error) {
	s.noise(dst)
	for i := range dst {
		if s.left == 0 {
			s.syllable()
		}
		dst[i] *= float32(s.amplitude * imag(s.swell))
		s.swell *= s.slope
		s.left--
	}
	return len(dst), nil
}

// noise fills dst with noise of power 1 that has the spectrum.
func (s *Speech) noise(dst []float32) {
	for i := range dst {
		dst[i] = float32(s.rng.NormFloat64())
	}
	s.filter.Filter(dst, dst)
}

// syllable begins the next one. Half a sine has a mean square of 1/2, and 10^(g/10) of a Gaussian g of deviation s has
// the mean exp((s·ln10/10)²/2); length and strength are independent, so the mean power over time is that asked for.
func (s *Speech) syllable() {
	length := syllableMin + (syllableMax-syllableMin)*s.beat.Float64()
	s.left = max(1, int(math.Round(length*s.rate)))
	pause, g := s.beat.Float64() < syllablePause, syllableDB*s.beat.NormFloat64()
	s.amplitude = 0
	if !pause {
		spread := syllableDB * math.Ln10 / 10
		s.amplitude = math.Sqrt(s.power * 2 / (1 - syllablePause) * math.Pow(10, g/10) / math.Exp(spread*spread/2))
	}
	sin, cos := math.Sincos(math.Pi / float64(s.left))
	s.slope = complex(cos, sin)
	sin, cos = math.Sincos(math.Pi / float64(s.left) / 2) // the middle of the first sample
	s.swell = complex(cos, sin)
}
