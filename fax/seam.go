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
	// from which the weights were learnt, 93 to 96 in 100 were right that were called so (FIGURES.md, fax-line-start).
	LeastSure = 0.75
	// leaningRight is the share of the pages leaning by more than a pixel whose line start is right all the same, of those
	// that the study has with a margin or a frame.
	leaningRight = 0.5
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

// seamWeights were learnt by TestFitSeam from 330 pages (those of grade.JoinedTrial with the seeds 1 to 220 and 331 to
// 440), by the maximum likelihood of where their seams are.
var seamWeights = [featureCount]float64{
	featureStrip: -1.004, featureOther: 6.038, featureUpper: 0.576, featureRule: -0.092,
	featureCut: -2.723, featureWidth0: 4.346, featureWidth1: 1.363, featureWidth2: 1.026,
	featureWidth3: 0.484, featureWidth4: 1.296, featureWidth5: 0.397, featureWidth6: -2.855,
	featureRank: 0.606, featureOneLine: -0.520, featureTwoLines: 2.414, featureAlike: 2.527,
	featureStep0: 0.410, featureStep1: -0.075, featureCrossed: -3.783, featureCorners: 0.907,
	featureBroken: -0.045, featureBrokenRule: 0.153, featureBrokenCut: 0.317, featureThick: 1.699,
	featureDark: 2.214,
}
