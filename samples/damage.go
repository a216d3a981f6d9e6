package samples

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"

	"ionoscribe/demod"
)

// DamageConfig says where and how a signal is damaged.
type DamageConfig struct {
	Spans      [][2]float64 // from and to in seconds, in order
	Gain       float64      // of the signal there; 0: it is gone
	NoisePower float64      // of white noise there, over the whole band
	Seed       uint64
}

// Damage spoils parts of a signal at times that are known, so that what it does to chosen elements can be studied.
type Damage struct {
	src   demod.SampleReader
	c     DamageConfig
	rng   *rand.Rand
	sigma float64
	n     int64
	next  int // span
}

// NewDamage checks the configuration.
func NewDamage(src demod.SampleReader, c DamageConfig) (*Damage, error) {
	if src == nil {
		return nil, errors.New("damage: no signal")
	}
	if !(c.NoisePower >= 0 && c.NoisePower <= 1e30) {
		return nil, fmt.Errorf("damage: noise of a power of %v", c.NoisePower)
	}
	last := 0.0
	for _, s := range c.Spans {
		if !(s[0] >= last && s[1] >= s[0]) {
			return nil, fmt.Errorf("damage: %v to %v s is out of order", s[0], s[1])
		}
		last = s[1]
	}
	return &Damage{src: src, c: c, rng: rand.New(rand.NewPCG(c.Seed, 0x64616d616765)), sigma: math.Sqrt(c.NoisePower)}, nil
}

// SampleRate is in Hz.
func (d *Damage) SampleRate() float64 { return d.src.SampleRate() }

// ReadSamples implements demod.SampleReader.
func (d *Damage) ReadSamples(dst []float32) (int, error) {
	k, err := d.src.ReadSamples(dst)
	rate := d.src.SampleRate()
	for i := range dst[:k] {
		at := float64(d.n) / rate
		d.n++
		for d.next < len(d.c.Spans) && at >= d.c.Spans[d.next][1] {
			d.next++
		}
		if d.next < len(d.c.Spans) && at >= d.c.Spans[d.next][0] {
			dst[i] = float32(d.c.Gain*float64(dst[i]) + d.sigma*d.rng.NormFloat64())
		}
	}
	return k, err
}
