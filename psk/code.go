package psk

import "math"

// Of four phases the convolutional code says whether a signal is there: turns at random do not fit it.
const (
	// A character is printed, and a signal goes on, if the fit around is enough: it is -0.3 to 0.13 in noise, and 0.7 to 1.5 at -10 dB in
	// 2500 Hz.
	leastFit, endFit = 0.4, 0.05
	fadeSymbols      = 64 // that a fade may last
	refusedSymbols   = 94 // 3 s in which what has no such code is not tried again
	// aliasSymbols tell one of three pitches: each is evidence of 0.5 to 1.5. The pitch that was found is mostly right: another needs
	// aliasLead more.
	aliasSymbols, aliasLead = 128, 10
)

// proof is the evidence that the signal is sent as it is received, and that it is on the other sideband.
func (c *channel) proof() (evidence float64, inverted bool) {
	if c.four && c.other.evidence > c.trellis.evidence {
		return c.other.evidence, true
	}
	return c.trellis.evidence, false
}

// coded says that what has settled has the code of four phases.
func (c *channel) coded() bool {
	evidence, _ := c.proof()
	return evidence > 0
}

// fit is that of the sideband that fits better.
func (c *channel) fit() float64 { return max(c.trellis.fit, c.other.fit) }

// alias is by how many Hz the pitch of four phases is off that has settled: in the fourth power a pitch that makes a quarter of a turn
// more in each symbol is as good, but the code says which is right.
func (c *channel) alias() (hz float64) {
	waiting := c.waiting[max(0, c.waits-aliasSymbols):c.waits]
	most := math.Inf(-1)
	for _, more := range []int{0, 1, 3} {
		for _, by := range []*turns{fourPhases, fourMirrored} {
			c.trellis.begin(by, c.waiting[:c.waits])
			for i, y := range waiting {
				c.trellis.take(y * quarters[-more*i&3])
			}
			evidence := c.trellis.evidence
			if more != 0 {
				evidence -= aliasLead
			}
			if evidence > most {
				most, hz = evidence, float64((more+1)&3-1)*Baud/4
			}
		}
	}
	return hz
}
