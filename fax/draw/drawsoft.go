package draw

import "image"

// softChart is a chart whose edges were rounded on the way, or drawn soft, being drawn. Like a restored one it is drawn
// twice: the second time what the first one made of the lines above and below says what to expect.
type softChart struct {
	source   *lineSource
	rows     int
	response response
	lags     [whitening + 1]float64 // covariance of the noise, the noise-to-signal ratio being that of the mean row
	power    float64                // mean power of a row
	shares   shares
	work     *deconvolver
	noise    float64 // of a step in the row
	b        []float32
	prior    []shares
}

// someShares are those of an unknown chart; its greys are evenly from black to white.
var someShares = shares{0.1, 0.85, 0.05, -0.5, 1.0 / 12}

const (
	// softLooked is the number of rows from which a chart's response and shares are learnt.
	softLooked = 24
	// fewGreys: two-level charts have a share of grey of 0.01 and less, anti-aliased ones 0.04 and more (simulation).
	fewGreys = 0.02
	// unsure is by how much the square of an estimate's error is larger than it says: greys side by side are not
	// independent, as its prior has it. Simulated charts had 1.7 to 2.2.
	unsure = 1.75
)

func newSoftChart(s *lineSource, rows int) *softChart {
	n := s.grid.steps + 2*lead
	c := &softChart{
		source: s, rows: rows, shares: someShares,
		work: newDeconvolver(n), b: make([]float32, n), prior: make([]shares, n),
	}
	for i := range softLooked {
		s.load(c.looked(i))
		c.power += float64(s.signal+s.noise) / softLooked
	}
	c.lags = s.edgeNoise(s.noiseFloor(rows))
	var ok bool
	if c.response, ok = phasingResponse(s); !ok {
		c.response = c.fitted()
	}
	for range 3 {
		f := c.learn()
		// Where all is black or white, the picture's own edges are more and nearer than those of phasing. Greys could
		// be taken for rounded edges, and edges for greys.
		if c.shares.grey < fewGreys {
			c.response = f.solve()
		}
	}
	return c
}

func (c *softChart) looked(i int) int { return (2*i + 1) * c.rows / (2 * softLooked) }

// fitted is the response that goes best with what the trellis makes of the picture.
func (c *softChart) fitted() response {
	s := c.source
	t := newTrellis(len(c.b), s.advance())
	white, prior := make([]float32, len(c.b)), make([]float32, len(c.b))
	for i := range prior {
		prior[i] = 0.5
	}
	var f responseFit
	for i := range softLooked {
		s.load(c.looked(i))
		s.observe(t, c.looked(i), lead)
		t.run(white, prior, firstChain)
		s.edges(c.b, c.looked(i))
		f.add(c.b, white)
	}
	return f.solve()
}

// expect sets the prior of all elements.
func (c *softChart) expect(p shares) {
	for i := range c.prior {
		c.prior[i] = p
	}
}

// estimate estimates the elements of a row.
func (c *softChart) estimate(row int) rowLevel {
	s := c.source
	s.load(row)
	s.edges(c.b, row)
	r, lags := c.response, c.lags
	for k := range lags { // the noise is as strong in all rows
		lags[k] *= c.power / (float64(s.signal+s.noise) + 1e-30)
	}
	c.noise = lags[0]
	r.colour(lags)
	c.work.run(c.b, &r, c.prior)
	return rowLevel{s.signal, s.noise}
}

// learn is a step of expectation and maximisation towards the shares of black, white and grey in the whole chart. It
// returns the fit of the response to the elements as they are estimated.
func (c *softChart) learn() (f responseFit) {
	c.expect(c.shares)
	var sum sharesSum
	for i := range softLooked {
		c.estimate(c.looked(i))
		f.add(c.b, c.work.out)
		for _, p := range c.work.like {
			sum.add(p, 1)
		}
	}
	c.shares = sum.shares(someShares, 4)
	return f
}

// drawSoft draws all rows of m and sets their levels. plain is the picture as drawn with greys: it stays where it is
// nearer to what was sent.
func drawSoft(m, plain *image.Gray, s *lineSource, levels []rowLevel) {
	c := newSoftChart(s, len(levels))
	line := make([]float32, s.grid.columns)
	draw := func(row int) {
		levels[row] = c.estimate(row)
		pixelsFromSteps(line, c.work.out[lead:lead+s.grid.steps])
		dst := m.Pix[row*m.Stride:][:len(line)]
		for i, v := range line {
			dst[i] = uint8(min(max(v*255+0.5, 0), 255))
		}
	}
	better := newTiles(m.Rect)
	c.expect(c.shares)
	around := &surroundings{low: 77, high: 204}
	sums := make([]sharesSum, totalContexts)
	expected := make([]shares, totalContexts)
	above, self, below := make([]uint8, s.grid.columns), make([]uint8, s.grid.columns), make([]uint8, s.grid.columns)
	context := func(step int) int {
		k := step * s.grid.columns / s.grid.steps
		return int(above[k])*rowContexts + int(below[k])
	}
	// What a row is, with what its neighbours are: two rows behind, when all three are drawn.
	like := make([]shares, len(levels)*s.grid.steps)
	for row := range levels {
		draw(row)
		copy(like[row*s.grid.steps:], c.work.like[lead:lead+s.grid.steps])
	}
	around.sweep(m, above, self, below, func(row int) {
		for i, p := range like[row*s.grid.steps:][:s.grid.steps] {
			sums[context(i)].add(p, 1)
		}
	})
	for i := range sums {
		expected[i] = sums[i].shares(c.shares, 4)
	}
	around.sweep(m, above, self, below, func(row int) {
		for i := range s.grid.steps {
			c.prior[lead+i] = expected[context(i)]
		}
		draw(row)
		c.compare(better, m, plain, row)
	})
	better.copy(m, plain)
}

// compare weighs a row of m, which was just estimated, against plain's. Let their errors be e and f. That of the
// estimate is what is in f, and more for the sharpening: e = f + g, f and g being independent. Then the mean of f²,
// including the bias of what was not sharpened, is that of (e-f)² less e² and twice the noise in f. It is less than e²
// where the sum of what is added here is positive.
func (c *softChart) compare(better *tiles, m, plain *image.Gray, row int) {
	noise := c.noise
	if noise < 2*misfit { // there is nothing to be gained
		return
	}
	n := m.Rect.Dx()
	for i := range n {
		v := c.work.variance[lead+i*c.source.grid.steps/n]
		d := (float64(m.Pix[row*m.Stride+i]) - float64(plain.Pix[row*plain.Stride+i])) / 255
		better.add(i, row, 2*unsure*v-2*min(noise, v)-d*d)
	}
}

// greysIn is the share of pixels that are neither black nor white.
func greysIn(m *image.Gray) float64 {
	const near = 32
	n := 0
	for _, v := range m.Pix {
		if v > near && v < 255-near {
			n++
		}
	}
	return float64(n) / float64(len(m.Pix))
}
