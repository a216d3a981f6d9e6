package cw

// budget limits the work of searching in what is no Morse, in steps of the bank, of a microsecond or so each. What turns out
// to be Morse is free, as that happens once a signal.
type budget struct {
	signals int     // that are wanted
	limit   float64 // of what is spent in vain between two resets; 0: none but the credit that comes in
	credit  float64 // steps that may be spent in vain
	spent   float64 // in all
}

const (
	creditSecond = 5e3   // steps a second: some 1/200 of real time; a signal of -13 dB is found by trying it time and again
	mostCredit   = 300e3 // steps in one go: what has been saved in a minute,
	signalCredit = 5e3   // and so many for each signal that is wanted, as all may begin at once
	hopSteps     = 13.0  // steps that take as long as a channel's hop (BenchmarkInputs, music)
)

func (b *budget) full() float64 {
	if b.limit != 0 {
		return b.limit
	}
	return mostCredit + signalCredit*float64(b.signals)
}

func (b *budget) reset() { b.credit = b.full() }

// refill takes in the credit of some seconds.
func (b *budget) refill(seconds float64) {
	if b.limit == 0 {
		b.credit = min(b.credit+creditSecond*seconds, b.full())
	}
}

func (b *budget) spend(steps float64) {
	b.credit -= steps
	b.spent += steps
}

// left says whether anything may be tried.
func (b *budget) left() bool { return b.credit >= 0 }
