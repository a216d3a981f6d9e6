package draw

import "math"

// The evidence for a candidate. A feature that a kind of candidate does not have is zero.
const (
	featureStrip      = iota // it is a strip of paper as the page has most of
	featureOther             // a strip of the other level
	featureUpper             // the strip is of the higher frequency, as paper is on the usual sideband
	featureRule              // a line
	featureCut               // an edge between two columns
	featureWidth0            // width of a strip: logarithmic classes
	featureWidth1            //
	featureWidth2            //
	featureWidth3            //
	featureWidth4            //
	featureWidth5            //
	featureWidth6            //
	featureRank              // logarithm of its width over that of the widest
	featureOneLine           // how long the lines at its edges are: the longer of them
	featureTwoLines          // the shorter
	featureAlike             // both are there, and equally thick
	featureStep0             // strokes that end at the edge where more do, a logarithm
	featureStep1             // where fewer do
	featureCrossed           // rows of ink across a strip, a logarithm
	featureCorners           // rows of ink all over the page but for the strip, a logarithm
	featureBroken            // evidence of broken strokes, in nats, softly bounded: of a strip,
	featureBrokenRule        // a line,
	featureBrokenCut         // an edge
	featureThick             // a line's thickness, logarithm of pixels
	featureDark              // share of a line's rows that have ink
	featureMirrored          // lines down the page that lie alike to both sides, a logarithm
	featureLopsided          // those that do not
	featureRuleRank          // logarithm of a line's thickness and share over those of the thickest
	featureSharp             // how sharp the sums down the page are under its lean, by the sharpest: a logarithm
	featureBlank             // how blank the blankest strip is, by the blankest under any: nats, softly bounded
	featureCount
)

// usualClockPPM is the scale of the clock errors that receivers have, of a Cauchy distribution (common practice: crystals
// keep 100 ppm). It is not learnt: the pages of the study tell their makers' clocks.
const usualClockPPM = 100

// widthEdges are where the classes of width begin, in pixels: 0.2 to 15 % of the line.
var widthEdges = [...]float64{4, 9, 18, 36, 72, 130, 270}

// describeLay is what the lean tells of all places under it. ppm is the clock error for a lean of a column.
func (c *place) describeLay(l, best lay, ppm float64) {
	f := &c.features
	f[featureSharp] = l.sharp - best.sharp
	f[featureBlank] = soft6(l.blank - best.blank)
	c.clock = -math.Log1p(math.Pow(l.lean*ppm/usualClockPPM, 2))
}

func (p *pageView) describeStrip(c *place, ink bool) {
	f := &c.features
	if ink {
		f[featureOther] = 1
	} else {
		f[featureStrip] = 1
	}
	if ink != p.upperPaper {
		f[featureUpper] = 1
	}
	w := float64(c.to-c.from) / p.pixel
	for k, edge := range widthEdges {
		if w >= edge {
			f[featureWidth0+k] = 1 // cumulative: each class adds to the one before
		}
	}
	if !ink {
		left, thickLeft := p.lineAt(c.from-1, -1)
		right, thickRight := p.lineAt(c.to, 1)
		f[featureOneLine], f[featureTwoLines] = max(left, right), min(left, right)
		if left > lineShare && right > lineShare && math.Abs(float64(thickLeft-thickRight)) < 1.5*p.pixel {
			f[featureAlike] = 1
		}
		a, b := p.edge(c.from-1, -1), p.edge(c.to, 1)
		f[featureStep0], f[featureStep1] = max(a, b), min(a, b)
		f[featureBroken] = soft6(p.broken(c.from-1-thickLeft-1, c.to+thickRight+1))
	}
	f[featureCrossed], f[featureCorners] = p.crossings(c.from, c.to, ink)
	f[featureMirrored], f[featureLopsided] = p.mirrored(c.from, c.to)
}

// mirrorReach is how far from the seam lines may lie alike on both sides, in pixels: double frames have gaps of 3 to 15.
const mirrorReach = 30

// mirrored measures how far what the columns have in ink beyond that of strokes is alike on both sides of a place.
func (p *pageView) mirrored(from, to int) (alike, lopsided float64) {
	excess := func(c int) float64 { return max(p.share(c)-lineShare/2, 0) }
	// Lines may be a column nearer on one side than on the other.
	best := math.Inf(1)
	for d := -1; d <= 1; d++ {
		var both, one float64
		for k := range int(mirrorReach * p.pixel) {
			a, b := excess(from-1-k), excess(to+k+d)
			both += min(a, b)
			one += math.Abs(a - b)
		}
		if one-both < best {
			best, alike, lopsided = one-both, both, one
		}
	}
	return math.Log1p(alike), math.Log1p(lopsided)
}

// lineAt looks for a line down the page at column c or a little beyond it, in the direction d: its share of the rows,
// and its thickness in columns.
func (p *pageView) lineAt(c, d int) (share float64, thick int) {
	for k := range int(2*p.pixel) + 1 {
		share = max(share, p.share(c+k*d))
	}
	for k := 0; k < int(12*p.pixel); k++ {
		if s := p.share(c + k*d); s < max(lineShare, 0.6*share) && k > int(p.pixel) {
			break
		}
		if p.share(c+k*d) > lineShare {
			thick = k + 1
		}
	}
	return share, thick
}

// edge is how many rows have ink at the edge of a strip, over the page's usual number, as a logarithm.
func (p *pageView) edge(c, d int) float64 {
	n := 0
	for r := range p.rows {
		for k := range int(2*p.pixel) + 1 {
			if p.column(c + k*d)[r] != 0 {
				n++
				break
			}
		}
	}
	mean := 0.0
	for _, k := range p.inked {
		mean += float64(k) / float64(p.columns)
	}
	return math.Log((float64(n) + 1) / (mean + 1))
}

// crossings counts the rows that cross a strip, and those that reach all over the page but not across it.
func (p *pageView) crossings(from, to int, ink bool) (crossed, corners float64) {
	in := make([]int, p.rows)
	for c := from; c < to; c++ {
		for r, v := range p.column(c) {
			in[r] += int(v)
		}
	}
	w := to - from
	for r, n := range in {
		all := float64(p.across[r]-n) / float64(p.columns-w+1)
		switch k := float64(n) / float64(w); {
		case !ink && k > 0.6 || ink && k < 0.4:
			crossed++
		case !ink && k < 0.1 && all > 0.8:
			corners++
		}
	}
	return math.Log1p(crossed), math.Log1p(corners)
}

func (p *pageView) describeRule(c *place) {
	f := &c.features
	f[featureRule] = 1
	f[featureThick] = math.Log(float64(c.to-c.from) / p.pixel)
	for k := c.from; k < c.to; k++ {
		f[featureDark] = max(f[featureDark], p.share(k))
	}
	f[featureBrokenRule] = soft6(p.broken(c.from-2, c.to+1))
	f[featureMirrored], f[featureLopsided] = p.mirrored(c.from, c.to)
}

func (p *pageView) describeCut(c *place) {
	c.features[featureCut] = 1
	c.features[featureBrokenCut] = soft6(p.broken(c.from-2, c.to+1))
}

// soft6 bounds evidence softly at some six times six nats: neighbouring rows are not as independent as it takes them.
func soft6(x float64) float64 { return math.Copysign(6*math.Log1p(math.Abs(x)/6), x) }
