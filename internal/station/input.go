package station

import (
	"context"
	"time"
)

// Input is a source of samples that is open.
type Input struct {
	Path       string
	SampleRate float64                      // Hz
	IQ         bool                         // samples are complex
	Live       bool                         // samples come as time goes
	Time       func(sample int64) time.Time // UTC
	TimeFrom   func() string                // how the time is known
	DialHz     float64                      // 0: not known
	DialFrom   string                       // how that is known
	Lower      bool                         // the lower sideband is heard
	// Each hands on all samples, a block at a time, until the source ends (nil), fails, or ctx is done.
	Each func(ctx context.Context, take func(Block)) error
}

// Block is some samples, in one of its slices, which are lent until take returns.
type Block struct {
	Audio []float32
	IQ    []complex64
	Lost  int64 // of them, silence in the place of what was lost
}

// Len is the number of samples.
func (b Block) Len() int { return max(len(b.Audio), len(b.IQ)) }
