package fax

import "math"

// seam is where the sides of a page meet, as the page alone tells.
type seam struct {
	middle float64 // share of the line
	sure   float64 // probability that it is right within seamTolerance
	level  float64 // of its white, in units of the deviation: 1 or -1; 0 if the page does not tell
}

const (
	// seamTolerance is how near, as a share of the line (three pixels), is right.
	seamTolerance = 3.0 / 1810
	// LeastSure is the probability from which on a line start is called found: of the charts that were not among those
	// from which the weights were learnt, 98 in 100 were right that were called so (ionoscribe grade study fax-line-start).
	LeastSure = 0.9
	// paperShare of a page of two levels is paper, at least.
	paperShare = 0.7
)

// findSeam weighs all places of a page. The probability of each goes as the exponential of its evidence, in nats; that it
// is none of them has no evidence.
func (p *pageView) findSeam(before carried) seam {
	places := p.places()
	weight := make([]float64, len(places))
	best, top := -1, 0.0
	for i, c := range places {
		weight[i] = c.score() + math.Log(before.prior(c, p.columns))
		if best < 0 || weight[i] > weight[best] {
			best = i
		}
		top = max(top, weight[i])
	}
	s := seam{level: p.paper()}
	if best < 0 {
		return s
	}
	near := seamTolerance * float64(p.columns)
	sum, right := math.Exp(-top), 0.0
	for i, c := range places {
		w := math.Exp(weight[i] - top)
		sum += w
		if math.Abs(circular(c.middle()-places[best].middle(), float64(p.columns))) <= near {
			right += w
		}
	}
	c := places[best]
	s.sure = right / sum
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

// score is the evidence for a place, in nats.
func (c place) score() (sum float64) {
	for k, f := range c.features {
		sum += seamWeights[k] * f
	}
	return sum
}

// seamWeights were learnt by TestFitSeam from the pages of the seeds 1 to 60, by the maximum likelihood of where their
// seams are.
var seamWeights = [featureCount]float64{
	featureStrip: -0.205, featureOther: 1.449, featureUpper: 2.086, featureRule: 1.045, featureCut: -2.155,
	featureWidth0: 1.335, featureWidth1: 1.857, featureWidth2: 1.881, featureWidth3: 0.944, featureWidth4: 1.119,
	featureWidth5: 0.352, featureWidth6: 0.000, featureRank: 0.403,
	featureOneLine: 0.434, featureTwoLines: 1.052, featureAlike: 0.262,
	featureStep0: 0.063, featureStep1: 0.917, featureCrossed: -1.754, featureCorners: 1.197,
	featureBroken: -0.025, featureBrokenRule: 0.103, featureBrokenCut: 0.288, featureThick: 2.075, featureDark: 1.730,
}
