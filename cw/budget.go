package cw

// budget limits the work spent on signals that turn out to be no Morse. Its unit is a step of the bank, about a
// microsecond. Work on signals that turn out to be Morse is refunded, as it happens once a signal.
type budget struct {
	signals int     // that are wanted at most
	limit   float64 // steps without a refund between two resets; 0: as creditSecond allows
	credit  float64 // steps that may still be spent
	spent   float64 // in all
}

const (
	creditSecond = 5e3   // steps a second, 1/200 of real time; a signal of -13 dB is found by repeated tries (own choice)
	mostCredit   = 300e3 // steps at once: the credit of a minute,
	signalCredit = 5e3   // plus so many for each signal that is wanted, as all may begin at once
	hopSteps     = 13.0  // steps that take as long as a channel's hop (BenchmarkInputs, music)
)

func (b *budget) full() float64 {
	if b.limit != 0 {
		return b.limit
	}
	return mostCredit + signalCredit*float64(b.signals)
}

func (b *budget) reset() { b.credit = b.full() }

// refill adds the credit of some seconds.
func (b *budget) refill(seconds float64) {
	if b.limit == 0 {
		b.credit = min(b.credit+creditSecond*seconds, b.full())
	}
}

func (b *budget) spend(steps float64) {
	b.credit -= steps
	b.spent += steps
}

// left says whether budget is left.
func (b *budget) left() bool { return b.credit >= 0 }
