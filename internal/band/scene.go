package band

import (
	"fmt"
	"math"

	"ionoscribe/demod"
	"ionoscribe/internal/scenario"
	"ionoscribe/samples"
)

// audioHz is where in its audio a transmission of a kind has its middle.
var audioHz = map[string]float64{Morse: 1000, Teleprinter: samples.DefaultRTTYCentreHz, Fax: samples.DefaultCentreHz}

// sound is what all test signals are.
type sound interface {
	demod.SampleReader
	Power() float64
	Duration() float64
}

// source makes the audio of a transmission, of peak amplitude 1, and tells how long it is.
func (t *Transmission) source() (s sound, seconds float64, err error) {
	switch t.Kind {
	case Morse:
		s, err = samples.NewCW(samples.CWConfig{Text: t.Text, WPM: t.WPM, PitchHz: audioHz[Morse], Amplitude: 1, LeadSeconds: -1, TrailSeconds: -1})
	case Teleprinter:
		s, err = samples.NewRTTY(samples.RTTYConfig{
			Text: t.Text, Baud: t.Baud, ShiftHz: t.ShiftHz, Inverted: t.MarkHigher, CentreHz: audioHz[Teleprinter], Amplitude: 1,
		})
	default:
		s, err = samples.NewFax(samples.FaxConfig{
			Picture: scenario.DenseChart(scenario.Width, t.Lines, int64(t.seed>>1)), IOC: t.IOC, LPM: t.LPM, Amplitude: 1,
		})
	}
	if err != nil {
		return nil, 0, fmt.Errorf("band: %w", err)
	}
	return s, s.Duration(), nil
}

// Scene makes the band. Its peaks stay below full scale: room is left for all transmissions to add up, and for four
// standard deviations of noise.
func (p *Plan) Scene() (*samples.IQScene, error) {
	c := samples.IQSceneConfig{SampleRate: p.SampleRate, Seconds: p.Seconds, Seed: p.Seed}
	// With noise of density 1: each part has a variance of half the rate.
	peak := 4 * math.Sqrt(p.SampleRate/2)
	for i := range p.Transmissions {
		t := &p.Transmissions[i]
		s, _, err := t.source()
		if err != nil {
			return nil, err
		}
		gain := samples.IQGain(s.Power(), t.SNR, 1)
		peak += gain
		c.Signals = append(c.Signals, samples.IQSignal{Source: s, DialHz: t.Hz - audioHz[t.Kind], StartSeconds: t.StartSeconds, Gain: gain})
	}
	for i := range c.Signals {
		c.Signals[i].Gain /= peak
	}
	c.NoiseDensity = 1 / (peak * peak)
	return samples.NewIQScene(c)
}
