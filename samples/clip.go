package samples

import (
	"errors"
	"fmt"
	"math"

	"ionoscribe/demod"
)

// ClipConfig describes a stage that is driven too hard.
type ClipConfig struct {
	Level float64 // largest amplitude that comes out
	Soft  bool    // bends towards the level as tanh does; else cut off at it
}

// Clip limits the amplitude of a signal.
type Clip struct {
	src   demod.SampleReader
	level float32
	soft  bool
}

// NewClip limits src.
func NewClip(src demod.SampleReader, c ClipConfig) (*Clip, error) {
	if src == nil {
		return nil, errors.New("clipping: no signal")
	}
	if !(c.Level > 1e-15 && c.Level < 1e15) {
		return nil, fmt.Errorf("clipping: level of %v", c.Level)
	}
	return &Clip{src, float32(c.Level), c.Soft}, nil
}

// SampleRate is in Hz.
func (c *Clip) SampleRate() float64 { return c.src.SampleRate() }

// ReadSamples implements demod.SampleReader.
func (c *Clip) ReadSamples(dst []float32) (int, error) {
	k, err := c.src.ReadSamples(dst)
	for i, v := range dst[:k] {
		if c.soft {
			dst[i] = c.level * float32(math.Tanh(float64(v/c.level)))
		} else {
			dst[i] = max(-c.level, min(c.level, v))
		}
	}
	return k, err
}
