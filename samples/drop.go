package samples

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"

	"ionoscribe/demod"
)

// DropConfig describes a stream that loses blocks, as one over a network does.
type DropConfig struct {
	EverySeconds float64 // mean time from the end of a drop to the next, exponentially distributed
	Seconds      float64 // length of a drop, rounded to samples
	Zeros        bool    // time goes on, with zeros in place of the signal; else the time is lost
	Seed         uint64
}

// Drop is a stream with blocks missing.
type Drop struct {
	src    demod.SampleReader
	rng    *rand.Rand
	every  float64
	length int64
	zeros  bool
	good   int64 // samples until the next drop begins
	lost   int64 // samples of the present drop to come
}

// NewDrop drops blocks of src.
func NewDrop(src demod.SampleReader, c DropConfig) (*Drop, error) {
	switch {
	case src == nil:
		return nil, errors.New("drops: no signal")
	case !(c.EverySeconds > 0 && c.EverySeconds <= 1e9):
		return nil, fmt.Errorf("drops: every %v s is not within 0 and a thousand million", c.EverySeconds)
	case !(c.Seconds > 0 && c.Seconds <= 3600):
		return nil, fmt.Errorf("drops: a length of %v s is not within 0 and an hour", c.Seconds)
	}
	d := &Drop{src: src, rng: rand.New(rand.NewPCG(c.Seed, 0x64726f70)), every: c.EverySeconds * src.SampleRate(),
		length: max(1, count(src.SampleRate(), c.Seconds)), zeros: c.Zeros}
	d.draw()
	return d, nil
}

func (d *Drop) draw() { d.good = 1 + int64(math.Round(d.every*d.rng.ExpFloat64())) }

// SampleRate is in Hz.
func (d *Drop) SampleRate() float64 { return d.src.SampleRate() }

// ReadSamples implements demod.SampleReader.
func (d *Drop) ReadSamples(dst []float32) (int, error) {
	for len(dst) > 0 {
		if d.lost == 0 {
			n, err := d.src.ReadSamples(dst[:min(d.good, int64(len(dst)))])
			if d.good -= int64(n); d.good == 0 {
				d.lost = d.length
				d.draw()
			}
			return n, err
		}
		n, err := readSome(d.src, dst[:min(d.lost, int64(len(dst)))])
		d.lost -= int64(n)
		if d.zeros {
			clear(dst[:n])
			return n, err
		}
		if err != nil {
			return 0, err
		}
	}
	return 0, nil
}
