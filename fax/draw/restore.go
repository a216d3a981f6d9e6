package draw

import (
	"image"
	"math"
)

// A restored chart is drawn in two passes of the trellis. The first knows nothing of the neighbours. From its
// picture a table is learnt: how probable is white, given what the lines above and below show at the three
// nearest columns? As the noise of one line is independent of that of its neighbours, the mean of the first
// pass's probabilities over all places with the same surroundings is that probability, whatever the noise has
// done to the surroundings: the table asks as much of the neighbours as they are worth. The second pass takes
// it as prior. Nothing comes in from outside the chart.

// Surroundings: three columns of two lines, each in one of three classes.
const (
	classes       = 3
	rowContexts   = classes * classes * classes
	totalContexts = rowContexts * rowContexts
)

// trust is how much of the neighbours' evidence counts: less than all, because contexts at neighbouring
// columns overlap. Simulation: 0.6 is the best from -3 to 3 dB, and 0.3 dB from the best at 6 dB.
const trust = 0.6

// firstChain is the prior where nothing is known of the chart: strokes two or three steps wide, one in twenty
// steps.
var firstChain = chain{toBlack: 0.05, toWhite: 0.4}

// lead is the number of steps before and behind a line that the trellis takes in, so that its own first and last
// steps do not lie at an end.
const lead = 12

// surroundings holds what the first pass says of the rows around one.
type surroundings struct {
	low, high uint8 // classes: below low, between, from high on
	sum       [totalContexts]float32
	count     [totalContexts]float32
	prior     [totalContexts]float32
}

// code sets dst[i] to the classes of row at columns i-1, i and i+1 as one number.
func (s *surroundings) code(dst []uint8, row []uint8) {
	class := func(v uint8) uint8 {
		switch {
		case v < s.low:
			return 0
		case v < s.high:
			return 1
		}
		return 2
	}
	a, b := class(row[0]), class(row[0])
	for i := range dst {
		c := b
		if i+1 < len(row) {
			c = class(row[i+1])
		}
		dst[i] = a*9 + b*3 + c
		a, b = b, c
	}
}

// learn counts one row whose neighbours have these codes.
func (s *surroundings) learn(row, above, below []uint8) {
	for i, v := range row {
		c := int(above[i])*rowContexts + int(below[i])
		s.sum[c] += float32(v)
		s.count[c]++
	}
}

// settle turns the counts into priors relative to the chart's share of white.
func (s *surroundings) settle(white float64) {
	base := logit(white)
	for c := range s.prior {
		// Four places' worth of the chart's mean for contexts that hardly occur.
		p := (float64(s.sum[c])/255 + 4*white) / (float64(s.count[c]) + 4)
		s.prior[c] = float32(1 / (1 + math.Exp(-trust*(logit(p)-base))))
	}
}

func logit(p float64) float64 {
	p = min(max(p, 1e-4), 1-1e-4)
	return math.Log(p / (1 - p))
}

// lineReader observes the lines of one video by a trellis.
type lineReader struct {
	source  *lineSource
	trellis *trellis
	echo    *echo // nil: there is one path
}

// newLineReader reads lines of which a second path is late by delay video samples, if that is not 0.
func newLineReader(s *lineSource, rows int, delay float64) *lineReader {
	r := &lineReader{source: s, trellis: newTrellis(s.grid.steps+2*lead, s.advance())}
	if delay > 0 {
		r.echo = newEcho(s, rows, min(max(delay/s.grid.step(), shortestEcho), longestEcho), echoWidth)
	}
	return r
}

// observe prepares the trellis for a row.
func (r *lineReader) observe(row int, prior []float32, c chain) rowLevel {
	if r.echo != nil {
		return r.echo.receive(r.trellis, row, prior, c)
	}
	r.source.load(row)
	r.source.observe(r.trellis, row, lead)
	return rowLevel{r.source.signal, r.source.noise}
}

// read sets white to how probable each step of a row is white.
func (r *lineReader) read(row int, white, prior []float32, c chain) rowLevel {
	level := r.observe(row, prior, c)
	r.trellis.run(white, prior, c)
	return level
}

// restore draws all rows of m as read says that they are, and sets their levels.
func restore(m *image.Gray, g grid, levels []rowLevel, read func(row int, white, prior []float32, c chain) rowLevel) {
	rows := m.Rect.Dy()
	white, prior := make([]float32, g.steps+2*lead), make([]float32, g.steps+2*lead)
	line := make([]float32, g.columns)
	for i := range prior {
		prior[i] = 0.5
	}
	decide := func(row int, c chain) { levels[row] = read(row, white, prior, c) }
	draw := func(row int, c chain) {
		decide(row, c)
		pixelsFromSteps(line, white[lead:lead+g.steps])
		dst := m.Pix[row*m.Stride:][:g.columns]
		for i, w := range line {
			dst[i] = uint8(w*255 + 0.5)
		}
	}
	c := learnChain(rows, white, decide)
	for row := range rows {
		draw(row, c)
	}
	share := shareOfWhite(m)
	around := &surroundings{low: 77, high: 204} // 0.3 and 0.8; mirrored for a mostly black picture
	if share < 0.5 {
		around.low, around.high = 51, 178
	}
	// Codes of three rows: above, the row itself, below.
	above, self, below := make([]uint8, g.columns), make([]uint8, g.columns), make([]uint8, g.columns)
	around.sweep(m, above, self, below, func(row int) {
		around.learn(m.Pix[row*m.Stride:][:g.columns], above, below)
	})
	around.settle(share)
	around.sweep(m, above, self, below, func(row int) {
		for i := range g.steps {
			k := i * g.columns / g.steps
			prior[lead+i] = around.prior[int(above[k])*rowContexts+int(below[k])]
		}
		draw(row, c)
	})
}

// sweep calls f for each row with the codes of the rows around it as they were before f touched them.
func (s *surroundings) sweep(m *image.Gray, above, self, below []uint8, f func(row int)) {
	rows := m.Rect.Dy()
	pixels := func(row int) []uint8 {
		row = min(max(row, 0), rows-1)
		return m.Pix[row*m.Stride:][:m.Rect.Dx()]
	}
	s.code(above, pixels(0))
	s.code(self, pixels(0))
	for row := range rows {
		s.code(below, pixels(row+1))
		f(row)
		copy(above, self)
		copy(self, below)
	}
}

// learnChain finds the chain of a chart by expectation and maximisation (Baum and others, Annals of Mathematical
// Statistics 41, 1970) on some of its rows: an empty page must not expect strokes. decide sets white for a row.
func learnChain(rows int, white []float32, decide func(row int, c chain)) chain {
	const looked, rounds = 24, 4
	c := firstChain
	for range rounds {
		var n, sum, black, ends float64
		for i := range looked {
			decide((2*i+1)*rows/(2*looked), c)
			for k, w := range white {
				n++
				sum += float64(w)
				if w < 0.5 {
					black++
					if k > 0 && white[k-1] >= 0.5 {
						ends++ // as many strokes end as begin
					}
				}
			}
		}
		// Strokes as long as those that are seen, and as many as make the probable share of black.
		share := min(max(sum/n, 0.05), 0.9998)
		c.toWhite = float32(min(max((ends+4)/(black+10), 0.02), 0.5))
		c.toBlack = float32(min(max(float64(c.toWhite)*(1-share)/share, 0.0002), 0.5))
	}
	return c
}

func shareOfWhite(m *image.Gray) float64 {
	sum := 0
	for _, v := range m.Pix {
		sum += int(v)
	}
	return float64(sum) / 255 / float64(len(m.Pix))
}
