package samples

import (
	"errors"
	"fmt"
	"math"

	"ionoscribe/demod"
)

// Bandpass is the audio filter of a receiver: a Butterworth high-pass of order 4 and a Butterworth low-pass of order
// 8. The band is 3 dB down at its edges, 60 dB at 0.18 of the lower and 2.4 times the upper.
type Bandpass struct {
	src      demod.SampleReader
	sections []biquad
}

const highpassOrder, lowpassOrder = 4, 8

// NewBandpass lets lowHz to highHz of src through. 0 leaves that side open.
func NewBandpass(src demod.SampleReader, lowHz, highHz float64) (*Bandpass, error) {
	if src == nil {
		return nil, errors.New("band-pass: no signal")
	}
	half := src.SampleRate() / 2
	switch {
	case !(lowHz >= 0 && lowHz < half) || !(highHz >= 0 && highHz < half):
		return nil, fmt.Errorf("band-pass: %v to %v Hz is not within 0 and %v Hz, half the sample rate", lowHz, highHz, half)
	case highHz > 0 && lowHz >= highHz:
		return nil, fmt.Errorf("band-pass: the lower edge of %v Hz is not below the upper of %v Hz", lowHz, highHz)
	}
	b := &Bandpass{src: src}
	if lowHz > 0 {
		b.sections = append(b.sections, butterworth(highpassOrder, lowHz/src.SampleRate(), -1)...)
	}
	if highHz > 0 {
		b.sections = append(b.sections, butterworth(lowpassOrder, highHz/src.SampleRate(), 1)...)
	}
	return b, nil
}

// SampleRate is in Hz.
func (b *Bandpass) SampleRate() float64 { return b.src.SampleRate() }

// ReadSamples implements demod.SampleReader.
func (b *Bandpass) ReadSamples(dst []float32) (int, error) {
	k, err := b.src.ReadSamples(dst)
	for i := range b.sections {
		b.sections[i].filter(dst[:k])
	}
	return k, err
}

// biquad is gain·(1 ± z⁻¹)²/(1 + a1·z⁻¹ + a2·z⁻²) in the transposed second direct form.
type biquad struct {
	gain, mid, a1, a2 float64 // mid: coefficient of z⁻¹ in the numerator, ±2
	s1, s2            float64
}

// butterworth makes a filter of even order with its edge at a share of the sample rate: sign is 1 for a low-pass, -1
// for a high-pass. The poles of the analogue filter lie evenly on a half circle, in pairs of quality
// 1/(2 sin((2k+1)π/2N)); the bilinear transform takes its edge to tan(π·edge) (Oppenheim and Schafer, Discrete-Time
// Signal Processing, sections on Butterworth filters and the bilinear transform).
func butterworth(order int, edge, sign float64) []biquad {
	k := math.Tan(math.Pi * edge)
	gain := 1.0
	if sign > 0 {
		gain = k * k
	}
	q := make([]biquad, order/2)
	for i := range q {
		damp := 2 * math.Sin(float64(2*i+1)*math.Pi/float64(2*order)) * k
		d := 1 + damp + k*k
		q[i] = biquad{gain: gain / d, mid: 2 * sign, a1: 2 * (k*k - 1) / d, a2: (1 - damp + k*k) / d}
	}
	return q
}

func (q *biquad) filter(x []float32) {
	s1, s2 := q.s1, q.s2
	for i, v := range x {
		u := q.gain * float64(v)
		y := u + s1
		s1 = q.mid*u - q.a1*y + s2
		s2 = u - q.a2*y
		// In silence the state would sink to numbers below the normal range, which are slow. A float32 of full scale
		// has 1e-7 as its step.
		if math.Abs(s1) < 1e-30 && math.Abs(s2) < 1e-30 {
			s1, s2 = 0, 0
		}
		x[i] = float32(y)
	}
	q.s1, q.s2 = s1, s2
}
