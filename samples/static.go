package samples

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"

	"ionoscribe/demod"
)

// StaticConfig describes atmospheric noise by Middleton's class A model (Middleton, "Statistical-physical models of
// electromagnetic interference", IEEE Trans. EMC-19, 1977, from memory): the number m of impulses at a time is
// Poisson distributed with mean Index, and a sample is Gaussian with variance σ²·(m/Index + GaussRatio)/(1 +
// GaussRatio), where σ² is the mean power.
type StaticConfig struct {
	NoiseConfig         // SNRdB is over the mean power, and over time may be anything
	Index       float64 // impulsive index A, up to 10: 0.01 is a few strong impulses, 1 almost Gaussian
	GaussRatio  float64 // Γ, power of the Gaussian part over that of the impulses; 0.001 to 1 is usual
	// BurstSeconds is for how long a state m lasts, in the mean: the times when another is drawn are a Poisson
	// process (common practice; the model itself says nothing of time). 0: each sample has a state of its own.
	BurstSeconds float64
}

// Static adds impulsive noise.
type Static struct {
	src   demod.SampleReader
	rng   *rand.Rand
	share []float64 // probability of a state up to m
	sigma []float64 // standard deviation in state m
	hold  float64   // mean length of a state in samples

	n    int64
	next float64 // time in samples when another state is drawn
	now  float64 // standard deviation in the present state
}

const maxIndex = 10.0

// NewStatic adds class A noise to src. It is white within a state.
func NewStatic(src demod.SampleReader, c StaticConfig) (*Static, error) {
	noise, err := NewNoise(src, c.NoiseConfig)
	hold := math.Inf(1)
	if err == nil {
		hold = c.BurstSeconds * src.SampleRate()
	}
	switch {
	case err != nil:
		return nil, fmt.Errorf("static: %w", err)
	case !(c.Index > 0 && c.Index <= maxIndex):
		return nil, fmt.Errorf("static: index of %v is not within 0 and %v", c.Index, maxIndex)
	case !(c.GaussRatio >= 0 && c.GaussRatio <= 1e6):
		return nil, fmt.Errorf("static: ratio of %v is not within 0 and a million", c.GaussRatio)
	case !(hold >= 0 && hold < 1<<53):
		return nil, fmt.Errorf("static: bursts of %v s", c.BurstSeconds)
	}
	s := &Static{src: src, rng: rand.New(rand.NewPCG(c.Seed, 0x737461746963)), hold: hold}
	p := math.Exp(-c.Index)
	for m, sum := 0.0, 0.0; sum < 1-1e-12; m++ {
		sum += p
		p *= c.Index / (m + 1)
		s.share = append(s.share, sum)
		s.sigma = append(s.sigma, noise.sigma*math.Sqrt((m/c.Index+c.GaussRatio)/(1+c.GaussRatio)))
	}
	return s, nil
}

// SampleRate is in Hz.
func (s *Static) SampleRate() float64 { return s.src.SampleRate() }

// ReadSamples implements demod.SampleReader.
func (s *Static) ReadSamples(dst []float32) (int, error) {
	k, err := s.src.ReadSamples(dst)
	for i := range dst[:k] {
		if float64(s.n) >= s.next {
			s.draw()
		}
		dst[i] += float32(s.now * s.rng.NormFloat64())
		s.n++
	}
	return k, err
}

// draw enters another state. A Poisson process has no memory, so the time to its next event counts from now.
func (s *Static) draw() {
	u, m := s.rng.Float64(), 0
	for m < len(s.share)-1 && u >= s.share[m] {
		m++
	}
	s.now = s.sigma[m]
	s.next = float64(s.n)
	if s.hold > 0 {
		s.next += s.hold * s.rng.ExpFloat64()
	}
}

// CrashConfig describes crashes of static: bursts of white Gaussian noise of one length, with nothing between.
// They start as a Poisson process; where crashes overlap it is no louder.
type CrashConfig struct {
	NoiseConfig         // SNRdB is that during a crash: 30 dB below that of a noise, a crash is 30 dB above it
	Seconds     float64 // length of a crash, rounded to at least one sample
	Share       float64 // share of the time that has a crash, between 0 and 1
}

// Crashes adds crashes of static.
type Crashes struct {
	src    demod.SampleReader
	rng    *rand.Rand
	sigma  float64
	length int64   // of a crash, in samples
	every  float64 // mean time from start to start, in samples

	n    int64
	next float64 // start of the next crash
	end  int64   // of the present one
}

// NewCrashes adds crashes to src.
func NewCrashes(src demod.SampleReader, c CrashConfig) (*Crashes, error) {
	noise, err := NewNoise(src, c.NoiseConfig)
	switch {
	case err != nil:
		return nil, fmt.Errorf("crashes: %w", err)
	case !(c.Seconds > 0 && c.Seconds <= 3600):
		return nil, fmt.Errorf("crashes: a length of %v s is not within 0 and an hour", c.Seconds)
	case !(c.Share > 0 && c.Share < 1):
		return nil, errors.New("crashes: their share of the time must lie between 0 and 1")
	}
	length := max(1, count(src.SampleRate(), c.Seconds))
	// A sample is free of crashes if none started within the last length: the probability is exp(-length/every).
	r := &Crashes{src: src, rng: rand.New(rand.NewPCG(c.Seed, 0x6372617368)), sigma: noise.sigma,
		length: length, every: -float64(length) / math.Log1p(-c.Share)}
	// The process began before the signal, so that its first samples are like all others.
	r.next = -float64(length) + r.every*r.rng.ExpFloat64()
	return r, nil
}

// SampleRate is in Hz.
func (c *Crashes) SampleRate() float64 { return c.src.SampleRate() }

// ReadSamples implements demod.SampleReader.
func (c *Crashes) ReadSamples(dst []float32) (int, error) {
	k, err := c.src.ReadSamples(dst)
	for i := range dst[:k] {
		for c.next <= float64(c.n) {
			c.end = int64(math.Ceil(c.next)) + c.length
			c.next += c.every * c.rng.ExpFloat64()
		}
		if c.n < c.end {
			dst[i] += float32(c.sigma * c.rng.NormFloat64())
		}
		c.n++
	}
	return k, err
}
