package grade

import (
	"fmt"
	"hash/fnv"

	"ionoscribe/demod"
	"ionoscribe/samples"
)

// NoChannel is the name of white noise alone.
const NoChannel = "none"

// FindChannel returns the channel of a name, nil for NoChannel; the error lists the names.
func FindChannel(name string) (*samples.Channel, error) {
	if name == NoChannel {
		return nil, nil
	}
	c, err := samples.FindChannel(name)
	if err != nil {
		return nil, fmt.Errorf("%w, %s", err, NoChannel)
	}
	return &c, nil
}

func channelName(c *samples.Channel) string {
	if c == nil {
		return NoChannel
	}
	return c.Name
}

// trialSeed makes the seed of a trial from what the trial is, and from nothing else of the plan.
func trialSeed(seed uint64, name string, c *samples.Channel, snr float64, number int) uint64 {
	h := fnv.New64a()
	fmt.Fprintf(h, "%d %s %g %d", seed, name, snr, number)
	if c != nil {
		fmt.Fprintf(h, " %s", c.Name)
	}
	return h.Sum64()
}

// spoil sends a signal of a mean power through a channel, if any, and adds noise; snr is in dB in 2500 Hz.
func spoil(src demod.SampleReader, power float64, c *samples.Channel, snr float64, seed uint64) (demod.SampleReader, error) {
	if c != nil {
		var err error
		if src, err = samples.NewFading(src, c.Fading(seed)); err != nil {
			return nil, err
		}
	}
	return samples.NewNoise(src, samples.NoiseConfig{SNRdB: snr, SignalPower: power, Seed: seed})
}
