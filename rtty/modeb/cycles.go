package modeb

import (
	"math"

	"ionoscribe/demod/fsk"
)

// Mode A of ITU-R M.476-5 (from memory) sends blocks of three characters, 210 ms, in cycles of 450 ms, in the rest of which the other
// station answers.
const (
	cycle       = 45 * fsk.PerElement // grid points
	cycleBlocks = 3                   // characters of a block
	cyclePlaces = cycle / trialStep
)

// lnLegal is the log of how much likelier legal characters are than any.
var lnLegal = Units*math.Ln2 - math.Log(35)

// ModeA says whether what was heard of late, up to 64 s since the last Flush, is traffic in mode A, and where its tones are. It is not
// printed: who was not there from the beginning does not know which blocks are repetitions.
func (d *Decoder) ModeA() (s State, is bool) {
	first, ready := d.front.First(), d.front.Ready()
	if d.receiving || ready-first < leastBlocks {
		return s, false
	}
	d.search.spectrum.Measure(d.front, first, ready)
	d.search.find()
	for _, c := range d.search.centres {
		inverted, evidence := d.search.cycles(d.front, c, first)
		if evidence < enough {
			continue
		}
		hz := d.search.trial.Hz()
		s = State{At: d.now(), Receiving: true, CentreHz: (hz[0] + hz[1]) / 2, ShiftHz: math.Abs(hz[1] - hz[0]), Inverted: inverted, ModeA: true}
		beside := 1.5*Baud + fsk.LineHz
		s.SNR = d.search.spectrum.SNR(min(hz[0], hz[1])-beside, max(hz[0], hz[1])+beside)
		return s, true
	}
	return s, false
}

// cycles is the evidence for blocks in the best place of a cycle: that their characters are legal.
func (s *search) cycles(f *fsk.Front, c centre, from int64) (inverted bool, evidence float64) {
	s.start(&s.trial, s.pair(c.hz, from))
	s.trial.FixNoise()
	var sum [2][cyclePlaces]float64
	var legal [2][cyclePlaces]float64 // of the latest characters
	var l likelihood
	at := int64(0)
	for b := from; b < f.Ready(); b++ {
		s.trial.Listen(f.Block(b))
		s.listened++
		for ; at+character < s.trial.Done(); at += trialStep {
			i := at / trialStep
			for k := range sum {
				s.receiver.inverted = k == 1
				s.hear(&l, at)
				p := float32(0)
				for _, v := range l {
					p += v
				}
				legal[k][i%cyclePlaces] = math.Log(max(float64(p), leastChance)) + lnLegal
				if at < (cycleBlocks-1)*character {
					continue
				}
				place := (i - (cycleBlocks-1)*character/trialStep) % cyclePlaces
				for n := range int64(cycleBlocks) {
					sum[k][place] += legal[k][(i-n*character/trialStep)%cyclePlaces]
				}
				// A place that has not been one for long may become one.
				sum[k][place] = max(sum[k][place], 0)
				if sum[k][place] > evidence {
					inverted, evidence = k == 1, sum[k][place]
				}
			}
		}
	}
	return inverted, evidence
}
