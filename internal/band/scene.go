package band

import (
	"math"

	"ionoscribe/samples"
)

// Scene makes the band. Its peaks stay below full scale: room is left for all transmissions to add up, and for four
// standard deviations of noise.
func (p *Plan) Scene() (*samples.IQScene, error) {
	c := samples.IQSceneConfig{SampleRate: p.SampleRate, Seconds: p.Seconds, Seed: p.Seed}
	// With noise of density 1: each part has a variance of half the rate.
	peak := 4 * math.Sqrt(p.SampleRate/2)
	for i := range p.Transmissions {
		t := &p.Transmissions[i]
		v, err := t.invent()
		if err != nil {
			return nil, err
		}
		gain := samples.IQGain(v.Sound.Power(), t.SNR, 1)
		peak += gain
		c.Signals = append(c.Signals, samples.IQSignal{Source: v.Sound, DialHz: t.Hz - v.Hz, StartSeconds: t.StartSeconds, Gain: gain})
	}
	for i := range c.Signals {
		c.Signals[i].Gain /= peak
	}
	c.NoiseDensity = 1 / (peak * peak)
	return samples.NewIQScene(c)
}
