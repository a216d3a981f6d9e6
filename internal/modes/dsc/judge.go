package dsc

import (
	"ionoscribe/internal/mode"
	"ionoscribe/rtty/dsc"
)

// cutHz is where the middle of the tones of a candidate is in a cut: that of ITU-R M.493 in the upper sideband, from memory.
const cutHz = dsc.VHFCentreHz

// judge has a decoder for each sample rate, made when it is needed first.
type judge map[float64]*judging

// judging is a decoder and what it told.
type judging struct {
	*dsc.Decoder
	state dsc.State
	calls int
	chars int
	sure  float64
}

// phasingSymbols are certain when phasing signals are found, which is as good as a call that has been heard to its end.
const phasingSymbols = 12

// Work in microseconds, measured: of judging a second, and of a second that an ear listened.
const (
	secondWork = 600.0
	earWork    = 250.0
)

func (j judge) Judge(audio []float32, rate float64, _ mode.Settings) mode.Verdict {
	r := j[rate]
	if r == nil {
		r = newJudging(rate)
		j[rate] = r
	}
	*r = judging{Decoder: r.Decoder}
	before := r.Listened()
	r.Write(audio)
	r.Flush()
	sure := r.sure / float64(max(1, r.chars))
	return mode.Verdict{
		Is: r.calls > 0, Settings: r.state.Settings, Hz: r.state.CentreHz, SNR: r.state.SNR, Characters: r.chars, Sure: sure,
		Confidence: 0.99,
		Work:       secondWork*float64(len(audio))/rate + earWork*(r.Listened()-before),
	}
}

func newJudging(rate float64) *judging {
	r := new(judging)
	d, err := dsc.New(dsc.Config{SampleRate: rate, CentreHz: cutHz}, dsc.Events{
		State: func(c dsc.State) {
			if c.Receiving {
				r.calls++
				r.state = c
				r.chars += phasingSymbols
				r.sure += phasingSymbols
			}
		},
		Call: func(c dsc.Reception) {
			for _, p := range c.Confidence {
				r.chars++
				r.sure += p
			}
		},
	})
	if err != nil {
		panic("dsc: " + err.Error()) // the configuration is ours
	}
	r.Decoder = d
	return r
}
