package navtex

import (
	"ionoscribe/demod"
	"ionoscribe/samples"
)

// repeated is a message that is sent several times, with silence between.
type repeated struct {
	demod.SampleReader
	power, duration float64
}

func newRepeated(c samples.ModeBConfig, times int, pauseSeconds float64) (*repeated, error) {
	var parts []demod.SampleReader
	r := new(repeated)
	for i := range times {
		k, err := samples.NewModeB(c)
		if err != nil {
			return nil, err
		}
		if i > 0 && pauseSeconds > 0 {
			parts = append(parts, samples.Silence(k.SampleRate(), pauseSeconds))
			r.duration += pauseSeconds
		}
		parts = append(parts, k)
		r.duration += k.Duration()
		r.power = k.Power()
	}
	var err error
	r.SampleReader, err = samples.Concat(parts...)
	return r, err
}

// Power is that while the message is sent.
func (r *repeated) Power() float64    { return r.power }
func (r *repeated) Duration() float64 { return r.duration }
