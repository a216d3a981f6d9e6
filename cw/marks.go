package cw

// markStatistics are means of the marks of a signal.
type markStatistics struct {
	last     []mark  // of the last character, the last one first
	unsteady float64 // mean square of the steps of the level, in nats of amplitude
	decay    float64 // by how much dashes are weaker at their end, in nats of amplitude
	power    float64 // in the middle of dashes
}

const (
	unsteadyAtFirst = 0.02 // of a signal of which nothing is known: one that fades a little

	// Shares of a mark in the means: of 33 marks, and of 7 dashes (own choice).
	unsteadyGain = 0.03
	decayGain    = 0.15
	powerGain    = 0.15

	// mostUnsteady is full fading: the level strays by a quarter from one mark to the next.
	mostUnsteady = 0.25 * 0.25
)

// begin forgets the marks of a character.
func (m *markStatistics) begin() { m.last = m.last[:0] }

// hear takes a mark that was received.
func (m *markStatistics) hear(e *elements, x mark) {
	if x.dash {
		m.decay += decayGain * (e.decay(x.end, x.steps) - m.decay)
		m.power += powerGain * (e.middle(x.end, x.steps) - m.power)
	}
	m.last = append(m.last, x)
	m.unsteady += unsteadyGain * (e.stray(x.end, x.steps) - m.unsteady)
}

// fading is the degree of fading, from 0, a steady signal, to 1.
func (m *markStatistics) fading() float32 { return float32(min(max(m.unsteady/mostUnsteady, 0), 1)) }
