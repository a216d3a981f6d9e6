package survey

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
}

const (
	// Of a second of 3400 Hz judges may take 1/200 in the mean, and 75 s of it at once; with what else is done, 1.2 hundredths
	// are not surpassed. What comes all the time is hopeless, what is real comes in bursts and needs a judge once or twice. A
	// transmission takes 15 to 60 ms until it is found, and as much again until all is known of it.
	workSecond = 4800.0
	workAtOnce = 360e3 // the credit,
	workAtLast = 90e3  // and at the end, when there is no later
	// areaRepeat is what is left of the chance of what may fill an area after a judge in vain: its lines take long to be told.
	areaRepeat = 0.93

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

// newBudget is full; it grows with the band in Hz, as what is in it does.
func newBudget(hz float64) budget {
	full := workAtOnce * max(1, hz/(audioHighHz-audioLowHz))
	return budget{full: full, credit: full}
}

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

// pay takes work that was done off the credit.
func (b *budget) pay(work float64) {
	b.credit -= work
	b.spent += work
}
