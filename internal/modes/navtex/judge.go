package navtex

import (
	"ionoscribe/internal/mode"
	"ionoscribe/rtty/modeb"
)

// cutHz is where the middle of the tones of a candidate is in a cut: that of ITU-R M.476-5 in the upper sideband, from memory.
const cutHz = 1700.0

// judge has a decoder for each sample rate, made when it is needed first.
type judge map[float64]*judging

// surelyA is the number of characters, all sure, that mode A counts as when it is recognised: as many as that takes.
const surelyA = 24

// judging is a decoder and what it told.
type judging struct {
	*modeb.Decoder
	state modeb.State
	chars int
	sure  float64
}

// Work in microseconds, measured: of judging a second, and of a second that was searched.
const (
	secondWork = 800.0
	searchWork = 500.0
)

func (j judge) Judge(audio []float32, rate float64, _ mode.Settings) mode.Verdict {
	r := j[rate]
	if r == nil {
		r = newJudging(rate)
		j[rate] = r
	}
	r.state, r.chars, r.sure = modeb.State{}, 0, 0
	before := r.Searched()
	r.Write(audio)
	modeA, is := r.ModeA()
	r.Flush()
	if is && !r.state.Receiving {
		r.state, r.chars, r.sure = modeA, surelyA, surelyA
	}
	sure := r.sure / float64(max(1, r.chars))
	return mode.Verdict{
		Is: r.state.Receiving, Settings: r.state.Settings(), Hz: r.state.CentreHz, SNR: r.state.SNR, Characters: r.chars, Sure: sure,
		Confidence: min(0.5+sure/2, 0.99),
		Work:       secondWork*float64(len(audio))/rate + searchWork*(r.Searched()-before),
	}
}

func newJudging(rate float64) *judging {
	r := new(judging)
	d, err := modeb.New(modeb.Config{SampleRate: rate, CentreHz: cutHz}, modeb.Events{
		State: func(s modeb.State) {
			if s.Receiving {
				r.state = s
			}
		},
		Char: func(c modeb.Char) { // phasing and idle signals tell as much as text
			r.chars++
			r.sure += c.Confidence
		},
	})
	if err != nil {
		panic("navtex: " + err.Error()) // the configuration is ours
	}
	r.Decoder = d
	return r
}
