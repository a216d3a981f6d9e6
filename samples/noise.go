package samples

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"

	"ionoscribe/demod"
)

// NoiseBandwidthHz is the reference bandwidth of SNR figures.
const NoiseBandwidthHz = 2500.0

// NoiseConfig says how much noise to add.
type NoiseConfig struct {
	SNRdB       float64 // signal power over the noise power in BandwidthHz
	BandwidthHz float64 // 0: NoiseBandwidthHz
	SignalPower float64 // mean power (mean square) of the signal, required; see [Fax.Power]
	Seed        uint64  // of the noise: the same seed gives the same noise
}

// Noise adds white Gaussian noise.
type Noise struct {
	src   demod.SampleReader
	rng   *rand.Rand
	sigma float64
}

// NewNoise adds noise to src. Its one-sided power density N0 is SignalPower/10^(SNRdB/10)/BandwidthHz, and it
// fills the band from 0 to half the sample rate, so that its variance is N0 times half the sample rate.
func NewNoise(src demod.SampleReader, c NoiseConfig) (*Noise, error) {
	setDefault(&c.BandwidthHz, NoiseBandwidthHz)
	switch {
	case src == nil:
		return nil, errors.New("noise: no signal")
	case !(c.SignalPower > 0) || math.IsInf(c.SignalPower, 0):
		return nil, errors.New("noise: the signal power must be given, and be positive")
	case !(c.BandwidthHz > 0) || math.IsInf(c.BandwidthHz, 0):
		return nil, fmt.Errorf("noise: bandwidth of %v Hz", c.BandwidthHz)
	case !(math.Abs(c.SNRdB) <= 300):
		return nil, fmt.Errorf("noise: signal-to-noise ratio of %v dB is not within ±300 dB", c.SNRdB)
	}
	n0 := c.SignalPower / math.Pow(10, c.SNRdB/10) / c.BandwidthHz
	// The generator wants two words of seed; the second one only has to differ from stage to stage.
	return &Noise{src: src, rng: rand.New(rand.NewPCG(c.Seed, 0x6e6f697365)), sigma: math.Sqrt(n0 * src.SampleRate() / 2)}, nil
}

// SampleRate is in Hz.
func (n *Noise) SampleRate() float64 { return n.src.SampleRate() }

// Sigma is the standard deviation of a noise sample.
func (n *Noise) Sigma() float64 { return n.sigma }

// ReadSamples implements demod.SampleReader.
func (n *Noise) ReadSamples(dst []float32) (int, error) {
	k, err := n.src.ReadSamples(dst)
	for i := range dst[:k] {
		dst[i] += float32(n.sigma * n.rng.NormFloat64())
	}
	return k, err
}
