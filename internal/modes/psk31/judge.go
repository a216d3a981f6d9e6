package psk31

import (
	"ionoscribe/internal/mode"
	"ionoscribe/psk"
)

// cutHz is where a candidate is in a cut, and where audio has a signal that may be put anywhere.
const cutHz = 1000.0

// offHz is by how much the carrier of a candidate may be off: idle it has two lines, half the baud from it.
const offHz = psk.Baud / 2

// judge has decoders of two phases and of four for each sample rate, made when they are needed first.
type judge map[float64]*[2]judging

// judging is a decoder and what it told.
type judging struct {
	*psk.Decoder
	told
}

// told is what a decoder told of a cut.
type told struct {
	state    psk.State // of the signal that was found last
	inverted bool
	evidence float64 // of all signals
	chars    int
	sure     float64
}

// secondWork is what judging a second takes, in microseconds: BenchmarkJudge measures 2600 of two phases and 4000 of four.
const secondWork = 3300.0

// Judge has both decoders hear a cut: what is sent has the number of phases for which there is more evidence.
func (j judge) Judge(audio []float32, rate float64, _ mode.Settings) mode.Verdict {
	both := j[rate]
	if both == nil {
		both = new([2]judging)
		both[0].hear(rate, false)
		both[1].hear(rate, true)
		j[rate] = both
	}
	best := &both[0]
	for i := range both {
		r := &both[i]
		r.told = told{}
		r.Write(audio)
		r.Flush()
		if r.state.Receiving && (!best.state.Receiving || r.evidence > best.evidence) {
			best = r
		}
	}
	four := best == &both[1]
	sure := best.sure / float64(max(1, best.chars))
	return mode.Verdict{
		Is: best.state.Receiving, Settings: psk.Settings{QPSK: four, Inverted: four && best.inverted},
		Hz: best.state.PitchHz, SNR: best.state.SNR, Characters: best.chars, Sure: sure,
		Confidence: min(0.5+sure/2, 0.99), Work: secondWork * float64(len(audio)) / rate,
	}
}

// hear has the decoder, which is of four phases or of two, tell what it hears.
func (r *judging) hear(rate float64, four bool) {
	d, err := psk.New(psk.Config{SampleRate: rate, PitchHz: cutHz, OffHz: offHz, QPSK: four}, psk.Events{
		State: func(s psk.State) {
			if s.Receiving {
				r.state = s
				return
			}
			r.evidence += s.Evidence
			r.inverted = s.Inverted
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
}
