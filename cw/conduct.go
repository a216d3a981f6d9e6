package cw

// conduct has statistics of the marks of the last characters, when one ends.
type conduct struct {
	unsteady  float64 // mean square of the steps of the level, in nats of amplitude
	coherence float64 // gain of the phase, in nats a mark: see coherence.mean
	sure      float64 // confidence of the character
	decay     float64 // by how much dashes are weaker at their end, in nats of amplitude
	misfit    float64 // mean square of how far lengths are off, in standard deviations: see sender
	loose     float64 // how far lengths stray, over the most that is expected: see sender.loose
	dotEnergy float64 // of a dot over the noise
	rejecting float64 // pitches that are rejected
}

// The figures lie between the statistics of real signals, weak, keyed by hand or fading, and those of music, which
//
//	go test -v -run Conduct ./cw -args -long
//
// prints; where between them is own choice.
const (
	// Unsteady levels: up to the first nothing is said, from the second on all. Noise over the energy of a dot adds to them,
	// up to mostNoise, as weaker signals could not be copied.
	leastStray, mostStray = 0.03, 0.08
	strayNoise            = 0.5
	mostNoise             = 0.06

	// What the coherence says of an unsteady level lies within limits, and is halved for a character that is sure.
	usualCoherence                 = 4.0 // nats a mark
	leastIncoherent, mostCoherent  = -1.5, 0.3
	coherenceSure, coherenceUnsure = 1.2, 0.8 // confidences at which it would not count, and from which down it counts fully

	// A strong signal whose level is unsteady must be clear.
	strongEnergy = 60.0 // of a dot over the noise
	strongSure   = 0.95
	unsureWeight = 4.0
	strayMisfit  = 1.5
	strongMisfit = 0.6 // weight

	usualDecay, decayWeight   = 0.1, 4.0
	usualMisfit, misfitWeight = 1.8, 0.3
	usualLoose, looseWeight   = 0.8, 5.0

	amongWeight = 0.03 // for each pitch that is rejected,
	fewAround   = 5    // beyond so many,
	mostAround  = 0.6  // up to this
)

// strays tells how unsteady the level is, from 0, steady, to 1, more than noise makes it.
func (c conduct) strays() float64 {
	least := leastStray + min(strayNoise/c.dotEnergy, mostNoise)
	return min(max((c.unsteady-least)/(mostStray-leastStray), 0), 1)
}

// well says whether all statistics are usual for a signal.
func (c conduct) well() bool {
	steady := c.strays() < 1 || c.coherence > usualCoherence
	return steady && c.misfit < strayMisfit && c.loose < usualLoose && c.rejecting <= fewAround
}

// evidence is the evidence for Morse in the marks of a character, in nats. An unsteady level without phase coherence counts
// against Morse, since fading keeps the phase; less so if characters are sure, as when the pitch chirps; and a strong signal must
// then be clear too. Marks that decay are notes of music. Marks of any length count against Morse, since nobody keys so loosely.
// The more pitches around were rejected, the more evidence is needed.
func (c conduct) evidence() float64 {
	strays := c.strays()
	strong := min(1, c.dotEnergy/strongEnergy)
	doubt := min(1, (coherenceSure-c.sure)/(coherenceSure-coherenceUnsure))
	x := strays * min(max(c.coherence-usualCoherence, leastIncoherent), mostCoherent) * doubt
	x -= strays * strong * (unsureWeight*max(0, strongSure-c.sure) + strongMisfit*max(0, c.misfit-strayMisfit))
	x -= min(amongWeight*max(0, c.rejecting-fewAround), mostAround)
	x -= decayWeight * max(0, c.decay-usualDecay)
	x -= looseWeight * max(0, c.loose-usualLoose)
	return x - misfitWeight*max(0, c.misfit-usualMisfit)
}
