package psk31

import (
	"ionoscribe/internal/mode"
	"ionoscribe/psk"
)

// cutHz is where a candidate is in a cut, and where audio has a signal that may be put anywhere.
const cutHz = 1000.0

// offHz is by how much the carrier of a candidate may be off: idle it has two lines, half the baud from it.
const offHz = psk.Baud/2 + 6

// judge has a decoder for each sample rate, made when it is needed first.
type judge map[float64]*judging

// judging is a decoder and what it told.
type judging struct {
	*psk.Decoder
	state psk.State
	chars int
	sure  float64
}

// secondWork is what judging a second takes, in microseconds, measured.
const secondWork = 2200.0

func (j judge) Judge(audio []float32, rate float64, _ mode.Settings) mode.Verdict {
	r := j[rate]
	if r == nil {
		r = newJudging(rate)
		j[rate] = r
	}
	r.state, r.chars, r.sure = psk.State{}, 0, 0
	r.Write(audio)
	r.Flush()
	sure := r.sure / float64(max(1, r.chars))
	return mode.Verdict{
		Is: r.state.Receiving, Settings: psk.Settings{}, Hz: r.state.PitchHz, SNR: r.state.SNR, Characters: r.chars, Sure: sure,
		Confidence: min(0.5+sure/2, 0.99), Work: secondWork * float64(len(audio)) / rate,
	}
}

func newJudging(rate float64) *judging {
	r := new(judging)
	d, err := psk.New(psk.Config{SampleRate: rate, PitchHz: cutHz, OffHz: offHz}, psk.Events{
		State: func(s psk.State) {
			if s.Receiving {
				r.state = s
			}
		},
		Char: func(c psk.Char) {
			r.chars++
			r.sure += c.Confidence
		},
	})
	if err != nil {
		panic("psk31: " + err.Error()) // the configuration is ours
	}
	r.Decoder = d
	return r
}
