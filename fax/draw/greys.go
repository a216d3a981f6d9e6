package draw

import "image"

// greyPainter draws a picture with greys. It restores each pixel from the three lines around it, before levels
// are clipped to what a file can hold, so that noise does not pull white and black inward.
type greyPainter struct {
	rows  [3][]float32 // above, self, below
	noisy [3]bool      // below the threshold of frequency modulation, where clicks begin
	most  [3]float32   // bound on the variance of the noise
}

// clickSize is by how much a pixel of a noisy row must differ from the median of itself and the pixels above and
// below to count as a click: a slip of the phase by a turn shows as a jump of 360 degrees in one step, far beyond
// black or white; half of black to white is more than the remaining noise.
const clickSize = 0.5

// smooth sets dst to the middle row, restored: each pixel moves toward the mean of its neighbourhood by as much as
// the local variance is noise (local linear minimum mean square error; Lee, IEEE Trans. Pattern Analysis and
// Machine Intelligence 2, 1980, p. 165). An even area is smoothed, an edge stays.
func (g *greyPainter) smooth(dst []float32) {
	above, self, below := g.rows[0], g.rows[1], g.rows[2]
	noise := min(rowNoise(above, self, below), g.most[1])
	w := len(self)
	for i := range dst {
		var sum, square float32
		for k := max(i-1, 0); k <= min(i+1, w-1); k++ {
			a, s, b := above[k], self[k], below[k]
			sum += a + s + b
			square += a*a + s*s + b*b
		}
		n := float32(3 * (min(i+1, w-1) - max(i-1, 0) + 1))
		mean := sum / n
		variance := square/n - mean*mean
		keep := float32(0)
		if variance > noise {
			keep = (variance - noise) / variance
		}
		dst[i] = mean + keep*(self[i]-mean)
	}
}

// unclick replaces the clicks of the middle row, if it is noisy, by the median of the column's three pixels.
func (g *greyPainter) unclick() {
	if !g.noisy[1] {
		return
	}
	for i, v := range g.rows[1] {
		a, b := g.rows[0][i], g.rows[2][i]
		if m := max(min(a, b), min(max(a, b), v)); v-m > clickSize || m-v > clickSize {
			g.rows[1][i] = m
		}
	}
}

// rowNoise estimates the variance of the noise in a row from the second difference down the columns, which is
// noise where the picture is even, and fine detail elsewhere: the median of its size is 0.6745·√6 standard
// deviations of Gaussian noise.
func rowNoise(above, self, below []float32) float32 {
	const fine = 512 // bins from black to white
	var histogram [4 * fine]int
	for i, s := range self {
		d := above[i] - 2*s + below[i]
		histogram[min(int(abs32(d)*fine), len(histogram)-1)]++
	}
	left := len(self) / 2
	for d, n := range histogram {
		if left -= n; left < 0 {
			sigma := (float32(d) + 0.5) / fine / (0.6745 * 2.449)
			return sigma * sigma
		}
	}
	return 0
}

// drawGreys draws all rows of m with greys, restored unless plain, and sets their levels.
func drawGreys(m *image.Gray, s *lineSource, levels []rowLevel, plain bool) {
	paintGreys(m, levels, newGreyReader(s, len(levels)).read, plain)
}

// greyReader reads lines of one video with greys.
type greyReader struct {
	source *lineSource
	floor  float32
	steps  []float32
}

func newGreyReader(s *lineSource, rows int) *greyReader {
	return &greyReader{s, s.noiseFloor(rows), make([]float32, s.grid.steps)}
}

// read sets dst to the pixels of a row. most bounds the variance of its noise, if it is not noisy.
func (r *greyReader) read(dst []float32, row int) (level rowLevel, most float32, noisy bool) {
	s := r.source
	s.load(row)
	most, noisy = s.plainNoise(r.floor)
	s.brightness(r.steps, row)
	pixelsFromSteps(dst, r.steps)
	return rowLevel{s.signal, s.noise}, most, noisy
}

// paintGreys is drawGreys of rows that are read in some way.
func paintGreys(m *image.Gray, levels []rowLevel, read func(dst []float32, row int) (rowLevel, float32, bool), plain bool) {
	out := make([]float32, m.Rect.Dx())
	var g greyPainter
	for i := range g.rows {
		g.rows[i] = make([]float32, len(out))
	}
	receive := func(row int) { // into the last of the three
		g.rows[0], g.rows[1], g.rows[2] = g.rows[1], g.rows[2], g.rows[0]
		g.most[0], g.most[1] = g.most[1], g.most[2]
		g.noisy[0], g.noisy[1] = g.noisy[1], g.noisy[2]
		if row == len(levels) { // behind the last row it stands again
			copy(g.rows[2], g.rows[1])
			return
		}
		levels[row], g.most[2], g.noisy[2] = read(g.rows[2], row)
	}
	receive(0)
	copy(g.rows[1], g.rows[2]) // and before the first row, the first
	for row := range levels {
		receive(row + 1)
		line := g.rows[1]
		if !plain {
			g.unclick()
			g.smooth(out)
			line = out
		}
		dst := m.Pix[row*m.Stride:][:len(line)]
		for i, b := range line {
			dst[i] = uint8(min(max(b*255+0.5, 0), 255))
		}
	}
}
