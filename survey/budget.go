package survey

import "math"

// budget is the work that judging may take: all that look into candidates draw from it, so that they take no more together than
// a share of the time that passes, whatever is heard. Work is counted in microseconds of a processor of 2 to 3 GHz, by what was
// done and not by a clock, so that what is found depends on nothing else (BenchmarkInputs measures that they are microseconds).
//
// Candidates are admitted by their chance of being something: the less likely they are, the more credit they leave for
// others, as calls of low priority leave lines to those of high priority (trunk reservation). As long as little is heard all
// are admitted at once; when forty hopeless candidates use up what comes in, a real one still finds the credit that is
// kept for it.
type budget struct {
	full, credit float64
	spent        float64 // in all
	misses       [64]miss
}

// miss is where judges found nothing.
type miss struct {
	hz     float64
	weight float64 // how often, those of long ago less
	frame  int64
}

const (
	// Of a second of 3400 Hz judges may take 1/200 in the mean, and 75 s of it at once; with what else is done, 1.2 hundredths
	// are not surpassed. What comes all the time is hopeless, what is real comes in bursts and needs a judge once or twice. A
	// transmission takes 15 to 60 ms until it is found, and as much again until all is known of it.
	workSecond = 4800.0
	workAtOnce = 360e3 // the credit,
	workAtLast = 90e3  // and at the end, when there is no later
	// steadyRepeat is what is left of a candidate's chance after another judge in vain, and missSeconds the time in which
	// half of that is forgotten: what is heard at a frequency later may be something else.
	steadyRepeat = 0.7
	missSeconds  = 20.0
	areaRepeat   = 0.93 // the same of what may fill an area, whose lines take long to be told

	// Chances that a candidate turns out to be what it is supposed to be, in scenes like those of grade survey.
	freshChance = 0.5  // of one of which only the frequency is known: looking at it costs little
	pairChance  = 0.6  // of two lines whose correlation is below surePair
	doubtChance = 0.12 // of others
	keyedChance = 0.5  // of a line keyed by lengths as a mode has them within keyedStrays
	strayChance = 0.05 // of others
	keyedStrays = 0.225
	// A judge is hardly ever sure of a line of fewMarks, and mostly of clearMarks.
	fewMarks, clearMarks = 18.0, 30.0
	fewShare             = 0.1  // of its chance that is left with few
	againChance          = 0.3  // that to judge again something that was found is of use; it can wait
	neededChance         = 0.45 // with which a candidate leaves nothing for others; with less, the difference as a share
)

// earn adds what some seconds allow.
func (b *budget) earn(seconds float64) {
	b.credit = min(b.credit+workSecond/workAtOnce*b.full*seconds, b.full)
}

// atLast makes sure of the credit for a last look.
func (b *budget) atLast() { b.credit = max(b.credit, workAtLast/workAtOnce*b.full) }

// admits says whether there is credit for a candidate of some chance; at last, when there is no later, any may have it.
func (b *budget) admits(chance float64, last bool) bool {
	if last {
		return b.credit > 0
	}
	return b.credit > b.full*max(neededChance-chance, 0)
}

// missed notes that a judge found nothing at a frequency.
func (s *Survey) missed(hz float64) {
	b, now := &s.budget, s.frames.count
	m := &b.misses[0]
	for i := range b.misses {
		if o := &b.misses[i]; o.weight > 0 && math.Abs(o.hz-hz) < nearHz {
			m = o
			break
		} else if s.weight(o) < s.weight(m) {
			m = o
		}
	}
	weight := 1.0
	if math.Abs(m.hz-hz) < nearHz {
		weight += s.weight(m)
	}
	*m = miss{hz, weight, now}
}

// weight is what is left of a miss.
func (s *Survey) weight(m *miss) float64 {
	return m.weight * math.Exp2(-s.seconds(s.frames.count-m.frame)/missSeconds)
}

// chance is what misses at a frequency leave of a chance.
func (s *Survey) chance(hz, chance float64) float64 {
	for i := range s.budget.misses {
		if m := &s.budget.misses[i]; m.weight > 0 && math.Abs(m.hz-hz) < nearHz {
			return chance * math.Pow(steadyRepeat, s.weight(m))
		}
	}
	return chance
}

// settle has the budget pay for what was done.
func (s *Survey) settle() {
	work := s.cutter.work + s.work
	s.budget.credit -= work
	s.budget.spent += work
	s.cutter.work, s.work = 0, 0
}

// Work, measured: of making a second of a cut, by its rates, and of an envelope. That of judges they tell themselves.
const (
	cutWork      = 200.0
	cutInWork    = 0.045 // a complex sample that is transformed
	cutRawWork   = 0.005 // a sample before
	envelopeWork = 10.0
	envelopeRaw  = 0.0007
)
