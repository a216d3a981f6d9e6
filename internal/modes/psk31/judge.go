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

// mean is that of the confidences.
func (t *told) mean() float64 { return t.sure / float64(max(1, t.chars)) }

// clear says that text is so sure that it has no other number of phases: what has prints five characters at most.
func (t *told) clear() bool { return t.chars >= 10 && t.mean() > 0.9 }

// secondWork is what hearing a second takes with two phases and with four, in microseconds, by BenchmarkJudge.
var secondWork = [2]float64{1900, 4500}

// Judge has a cut heard by two phases and, unless that is clear, by four: it has the number for which there is more evidence.
func (j judge) Judge(audio []float32, rate float64, _ mode.Settings) mode.Verdict {
	both := j[rate]
	if both == nil {
		both = new([2]judging)
		both[0].hear(rate, false)
		both[1].hear(rate, true)
		j[rate] = both
	}
	best, work := &both[0], 0.0
	best.told = told{}
	for i := range both {
		if best.clear() {
			break
		}
		r := &both[i]
		r.told = told{}
		work += secondWork[i]
		r.Write(audio)
		r.Flush()
		if r.state.Receiving && (!best.state.Receiving || r.evidence > best.evidence) {
			best = r
		}
	}
	four := best == &both[1]
	return mode.Verdict{
		Is: best.state.Receiving, Settings: psk.Settings{QPSK: four, Inverted: four && best.inverted},
		Hz: best.state.PitchHz, SNR: best.state.SNR, Characters: best.chars, Sure: best.mean(),
		Confidence: min(0.5+best.mean()/2, 0.99), Work: work * float64(len(audio)) / rate,
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
