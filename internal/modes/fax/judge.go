package fax

import (
	"ionoscribe/fax"
	"ionoscribe/internal/mode"
)

// judge has a decoder for each rate, made when it is needed first.
type judge map[float64]*judging

// judging is a decoder and what it told.
type judging struct {
	*fax.Decoder
	state fax.State
}

// Work, measured, in microseconds: of judging a second, and of a tone that was looked at.
const (
	secondWork = 220.0
	toneWork   = 1000.0
)

// confidence that what a decoder receives is a fax.
const confidence = 0.97

func (j judge) Judge(audio []float32, rate float64, _ mode.Settings) mode.Verdict {
	r := j[rate]
	if r == nil {
		r = newJudging(rate)
		j[rate] = r
	}
	r.state = fax.State{}
	before := r.Searched()
	r.Write(audio)
	r.Flush()
	return mode.Verdict{
		Is: r.state.Receiving, Settings: r.state.Settings(), Hz: fax.CentreHz, Confidence: confidence,
		Work: secondWork*float64(len(audio))/rate + toneWork*float64(r.Searched()-before),
	}
}

func newJudging(rate float64) *judging {
	r := new(judging)
	d, err := fax.New(fax.Config{SampleRate: rate}, fax.Events{State: func(s fax.State) {
		if s.Receiving {
			r.state = s
		}
	}})
	if err != nil {
		panic("fax: " + err.Error()) // the configuration is ours
	}
	r.Decoder = d
	return r
}
