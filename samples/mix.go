package samples

import (
	"errors"
	"fmt"
	"io"
	"math"

	"ionoscribe/demod"
)

// Mix adds another signal to one.
type Mix struct {
	src, other demod.SampleReader
	gain       float32
	block      []float32
	ended      error // that ended the other signal
}

const mixBlock = 1024 // samples read at a time

// NewMix adds other, times gain, to src. It ends where src does; other may end before. One that starts later is
// joined to a [Silence] by [Concat]. The sample rates must be equal.
func NewMix(src, other demod.SampleReader, gain float64) (*Mix, error) {
	switch {
	case src == nil || other == nil:
		return nil, errors.New("adding signals: there is none")
	case src.SampleRate() != other.SampleRate():
		return nil, fmt.Errorf("adding signals: sample rates of %v and %v Hz differ", src.SampleRate(), other.SampleRate())
	case !(math.Abs(gain) <= 1e15):
		return nil, fmt.Errorf("adding signals: a gain of %v", gain)
	}
	return &Mix{src: src, other: other, gain: float32(gain), block: make([]float32, mixBlock)}, nil
}

// LevelGain is the gain that brings a signal of mean power other to dB decibels above the mean power of a signal.
func LevelGain(power, other, dB float64) float64 { return math.Sqrt(power/other) * math.Pow(10, dB/20) }

// SampleRate is in Hz.
func (m *Mix) SampleRate() float64 { return m.src.SampleRate() }

// ReadSamples implements demod.SampleReader. If the other signal fails, so does the sum, where it did.
func (m *Mix) ReadSamples(dst []float32) (int, error) {
	if m.ended != nil && !errors.Is(m.ended, io.EOF) {
		return 0, m.ended
	}
	k, err := m.src.ReadSamples(dst[:min(len(dst), len(m.block))])
	for at := 0; at < k && m.ended == nil; {
		var n int
		n, m.ended = readSome(m.other, m.block[:k-at])
		for i, v := range m.block[:n] {
			dst[at+i] += m.gain * v
		}
		at += n
		if m.ended != nil && !errors.Is(m.ended, io.EOF) {
			return at, m.ended
		}
	}
	return k, err
}
