package rtty

import (
	"math"

	"ionoscribe/internal/mode"
	"ionoscribe/rtty"
)

// cutHz is where the middle of the tones of a candidate is in a cut.
const cutHz = 1700.0

// judge has a decoder for each rate and order, made when it is needed first.
type judge map[order]*judging

// order is a shift that is ordered, lest a sideband be taken for a tone, or none. A decoder takes an order within a
// fifth.
type order struct{ rate, shift float64 }

const (
	leastOrderHz = 60.0
	orderStep    = 1.2 // from order to order
)

// judging is a decoder and what it told.
type judging struct {
	*rtty.Decoder
	state rtty.State
	chars int
	sure  float64
}

// Work, measured, in microseconds: of judging a second, and of a second that was searched.
const (
	secondWork = 800.0
	searchWork = 200.0
)

func (j judge) Judge(audio []float32, rate float64, guess mode.Settings) mode.Verdict {
	o := order{rate: rate}
	if s, ok := guess.(rtty.Settings); ok && s.ShiftHz != 0 {
		n := math.Round(math.Log(s.ShiftHz/leastOrderHz) / math.Log(orderStep))
		o.shift = min(max(leastOrderHz*math.Pow(orderStep, n), rtty.LeastShiftHz), rtty.MostShiftHz)
	}
	r := j[o]
	if r == nil {
		r = newJudging(o)
		j[o] = r
	}
	r.state, r.chars, r.sure = rtty.State{}, 0, 0
	before := r.Searched()
	r.Write(audio)
	r.Flush()
	sure := r.sure / float64(max(1, r.chars))
	return mode.Verdict{
		Is: r.state.Receiving, Settings: r.state.Settings(), Hz: r.state.CentreHz, SNR: r.state.SNR, Characters: r.chars, Sure: sure,
		Confidence: min(0.5+sure/2, 0.99),
		Work:       secondWork*float64(len(audio))/rate + searchWork*(r.Searched()-before),
	}
}

func newJudging(o order) *judging {
	r := new(judging)
	d, err := rtty.New(rtty.Config{SampleRate: o.rate, CentreHz: cutHz, ShiftHz: o.shift}, rtty.Events{
		State: func(s rtty.State) {
			if s.Receiving {
				r.state = s
			}
		},
		Char: func(c rtty.Char) {
			r.chars++
			r.sure += c.Confidence
		},
	})
	if err != nil {
		panic("rtty: " + err.Error()) // the configuration is ours
	}
	r.Decoder = d
	return r
}
