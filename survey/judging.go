package survey

import (
	"math"

	"ionoscribe/internal/mode"
)

// judging has stretches of the past judged, within a budget of work.
type judging struct {
	frames *frames
	cutter *cutter
	judges map[*mode.Mode]mode.Judge
	work   float64 // that judges took and was not paid for yet
	budget budget
	misses [mostMisses]miss
}

// miss is where judges found nothing.
type miss struct {
	hz     float64
	weight float64 // how often, those of long ago less
	frame  int64
}

const (
	mostMisses = 64
	// steadyRepeat is what is left of a candidate's chance after another judge in vain, and missSeconds the time in which
	// half of that is forgotten: what is heard at a frequency later may be something else.
	steadyRepeat = 0.7
	missSeconds  = 20.0
)

func newJudging(f *frames, r *ring, c Config) *judging {
	j := &judging{frames: f, cutter: newCutter(r, c.SampleRate), judges: map[*mode.Mode]mode.Judge{}, budget: newBudget(c.HighHz - c.LowHz)}
	for _, m := range c.Modes {
		j.judges[m] = m.NewJudge()
	}
	return j
}

// reset begins with full credit.
func (j *judging) reset() {
	j.budget = budget{full: j.budget.full, credit: j.budget.full}
	j.misses = [mostMisses]miss{}
}

// stretches are the lengths in seconds that are judged: each half as long again, so that there are few lengths of transforms.
var stretches = []float64{3, 5, 8, 12, 17, 26}

// stretch is as much of the past as is needed for an age in seconds, in samples.
func (j *judging) stretch(age float64) int64 {
	have := float64(j.frames.end()-j.cutter.ring.first()-j.frames.hop) / j.frames.rate
	best := 0.0
	for _, v := range stretches {
		if v > have {
			break
		}
		best = v
		if v >= age {
			break
		}
	}
	return int64(best * j.frames.rate)
}

// candidate is what is judged: what lies between two frequencies, its middle and the density of the noise around.
type candidate struct{ low, high, hz, noise float64 }

// judge has the last samples judged, with nothing in them but a candidate and noise.
func (j *judging) judge(m *mode.Mode, length int64, c candidate, guess mode.Settings) mode.Verdict {
	to := j.frames.end()
	audio, rate := j.cutter.cut(to-length, to, c.low, c.high, c.hz, m.Shape.CutHz, c.noise)
	v := j.judges[m].Judge(audio, rate, guess)
	j.work += v.Work
	return v
}

// missed notes that a judge found nothing at a frequency.
func (j *judging) missed(hz float64) {
	m := &j.misses[0]
	for i := range j.misses {
		if o := &j.misses[i]; o.weight > 0 && math.Abs(o.hz-hz) < nearHz {
			m = o
			break
		} else if j.weight(o) < j.weight(m) {
			m = o
		}
	}
	weight := 1.0
	if math.Abs(m.hz-hz) < nearHz {
		weight += j.weight(m)
	}
	*m = miss{hz, weight, j.frames.count}
}

// weight is what is left of a miss.
func (j *judging) weight(m *miss) float64 {
	return m.weight * math.Exp2(-j.frames.seconds(j.frames.count-m.frame)/missSeconds)
}

// chance is what misses at a frequency leave of a chance.
func (j *judging) chance(hz, chance float64) float64 {
	for i := range j.misses {
		if m := &j.misses[i]; m.weight > 0 && math.Abs(m.hz-hz) < nearHz {
			return chance * math.Pow(steadyRepeat, j.weight(m))
		}
	}
	return chance
}

// admits says whether there is credit to judge what is at a frequency and has a chance, if nothing was judged there before.
func (j *judging) admits(hz, chance float64, last bool) bool {
	return j.budget.admits(j.chance(hz, chance), last)
}

// settle has the budget pay for what was done.
func (j *judging) settle() {
	j.budget.pay(j.cutter.work + j.work)
	j.cutter.work, j.work = 0, 0
}

// pairMargin is what a cut has beside the tones of a pair, in Hz: their keying, which is the faster the wider the shift. The first
// lines of 100 Bd are 50 Hz off, those of 600 Bd 300 Hz.
func pairMargin(shiftHz float64) float64 {
	const marginOfShift, leastMargin, mostMargin = 0.6, 100.0, 300.0
	return min(max(marginOfShift*shiftHz, leastMargin), mostMargin)
}
