package draw

import "math"

// seam is where the sides of a page meet, as the page alone tells.
type seam struct {
	middle float64 // share of the line
	sure   float64 // probability that it is right within seamTolerance
	lay    int     // how the lines lie, of those in question
	laid   float64 // probability that they lie so
	level  float64 // of its white, in units of the deviation: 1 or -1; 0 if the page does not tell
}

const (
	// seamTolerance is how near, as a share of the line (three pixels), is right.
	seamTolerance = 3.0 / 1810
	// LeastSure is the probability from which on a line start is called found (STUDIES.md, fax-line-start, has how many in
	// 100 are right of those that are called so).
	LeastSure = 0.8
	// paperShare of a page of two levels is paper, at least.
	paperShare = 0.7
)

// seamPlaces are the places of a page of so many lines under each of its lays.
func (l pageLevels) seamPlaces(lays []lay, lines int) (all []place) {
	best := lay{sharp: math.Inf(-1), blank: math.Inf(-1)}
	for _, y := range lays {
		best.sharp, best.blank = max(best.sharp, y.sharp), max(best.blank, y.blank)
	}
	ppm := 1e6 / float64(l.columns*lines)
	for k, y := range lays {
		for _, c := range newPageView(l.upright(y.lean, lines)).places(y.first) {
			c.lay = k
			c.describeLay(y, best, ppm)
			all = append(all, c)
		}
	}
	return all
}

// findSeam weighs all places of a page. The probability of each goes as the exponential of its evidence, in nats; that it
// is none of them has no evidence.
func (p *pageView) findSeam(places []place, lays []lay, before carried) (s seam) {
	weight := make([]float64, len(places))
	best, top := -1, 0.0
	for i, c := range places {
		weight[i] = c.score() + math.Log(before.prior(c, p.columns))
		if best < 0 || weight[i] > weight[best] {
			best = i
		}
		top = max(top, weight[i])
	}
	s.level = p.paper()
	if best < 0 {
		return s
	}
	near := seamTolerance * float64(p.columns)
	s.lay = places[best].lay
	sum, right, laid := math.Exp(-top), 0.0, 0.0
	for i, c := range places {
		w := math.Exp(weight[i] - top)
		sum += w
		if math.Abs(lays[c.lay].lean-lays[s.lay].lean) <= layApart {
			laid += w
		}
		if math.Abs(circular(c.middle()-places[best].middle(), float64(p.columns))) <= near {
			right += w
		}
	}
	c := places[best]
	s.sure, s.laid = right/sum, laid/sum
	s.middle = c.middle() / float64(p.columns)
	if c.kind == strip && float64(c.to-c.from) > 0.01*float64(p.columns) { // a margin, and margins are white
		s.level = 2*c.features[featureUpper] - 1
	}
	if at, ok := before.within(c, p.columns); ok {
		s.middle = at
	}
	s.middle -= math.Floor(s.middle)
	return s
}

// paper is the level of the paper of a page of two levels, of which there is more than of ink: 1 or -1. It is 0 if the
// page looks like greys.
func (p *pageView) paper() float64 {
	ink := 0
	for _, n := range p.inked {
		ink += n
	}
	switch {
	case float64(ink) > (1-paperShare)*float64(p.columns*p.rows):
		return 0
	case p.upperPaper:
		return 1
	}
	return -1
}

// score is the evidence for a place, in nats, beside what is known of clocks before.
func (c place) score() (sum float64) {
	for k, f := range c.features {
		sum += seamWeights[k] * f
	}
	return sum + c.clock
}

// seamWeights were learnt by TestFitSeam from 400 pages (those of grade.JoinedTrial with the seeds 1 to 400), by the
// maximum likelihood of where their seams are and how they lean.
var seamWeights = [featureCount]float64{
	featureStrip: -2.156, featureOther: 5.163, featureUpper: 0.345, featureRule: -0.545,
	featureCut: -6.235, featureWidth0: 1.986, featureWidth1: 0.898, featureWidth2: 0.103,
	featureWidth3: 1.927, featureWidth4: 1.243, featureWidth5: -0.330, featureWidth6: -1.090,
	featureRank: 0.387, featureOneLine: 1.724, featureTwoLines: 3.411, featureAlike: 0.863,
	featureStep0: 0.173, featureStep1: 0.299, featureCrossed: -4.172, featureCorners: 1.051,
	featureBroken: -0.066, featureBrokenRule: 0.104, featureBrokenCut: 0.360, featureThick: 1.148,
	featureDark: 1.601, featureMirrored: -1.078, featureLopsided: -0.917, featureRuleRank: 2.617,
	featureSharp: 0.394, featureBlank: 0.156,
}
