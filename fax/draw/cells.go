package draw

import (
	"image"
	"math"
	"slices"
)

// cells has the means of cells of a picture, which noise moves little, and how much it moves them.
type cells struct {
	across, down int
	even, odd    []float64 // means of the even and of the odd rows of each cell; black 0, white 255
	noise        []float64 // variance of a cell's mean, by rows of cells
}

const (
	cellSize = 8 // pixels, in both directions
	// cellSigmas is by how many standard deviations of their noise the means of a cell differ if both show something else: among a
	// hundred thousand cells noise has no such one (Gaussian: 2e-9 each); and by at least leastCell of black to white, as what is a
	// tenth of a pixel beside its place makes a few hundredths.
	cellSigmas = 6.0
	leastCell  = 0.16
	// leastReliable is the share of a chart's variance that is no noise without which nothing can be told.
	leastReliable = 0.02
)

func newCells(m *image.Gray) *cells {
	c := &cells{across: m.Rect.Dx() / cellSize, down: m.Rect.Dy() / cellSize}
	n := c.across * c.down
	c.even, c.odd = make([]float64, n), make([]float64, n)
	const half = cellSize * cellSize / 2
	for y := range c.down * cellSize {
		to := c.even
		if y%2 == 1 {
			to = c.odd
		}
		for x, v := range m.Pix[y*m.Stride:][:c.across*cellSize] {
			to[y/cellSize*c.across+x/cellSize] += float64(v) / half
		}
	}
	// Both halves of a cell show nearly the same: their difference is noise, that of the mean half of it.
	squares := make([]float64, c.across)
	for row := range c.down {
		for i := range squares {
			d := (c.even[row*c.across+i] - c.odd[row*c.across+i]) / 2
			squares[i] = d * d
		}
		// The noise of frequency modulation has clicks, which make its greatest values greater than Gaussian ones.
		const share, square = 0.95, 3.84 // of a Gaussian variable's squares are below so many variances
		slices.Sort(squares)
		c.noise = append(c.noise, squares[int(share*float64(len(squares)))]/square)
	}
	return c
}

func (c *cells) mean(i int) float64 { return (c.even[i] + c.odd[i]) / 2 }

// reliability is the share of the variance of the cells' means that is no noise, by the correlation of their halves (C. Spearman,
// W. Brown, British Journal of Psychology 3, 1910, pp. 271, 296).
func (c *cells) reliability() float64 {
	h := correlate(len(c.even), func(i int) (float64, float64) { return c.even[i], c.odd[i] })
	return 2 * h / (1 + h)
}

// likeness is the correlation of two pictures of the same size as it would be without noise (correction for attenuation;
// C. Spearman, American Journal of Psychology 15, 1904, p. 72), 0 if there is little else.
func (c *cells) likeness(o *cells) float64 {
	a, b := c.reliability(), o.reliability()
	if !(a > leastReliable && b > leastReliable) {
		return 0
	}
	r := correlate(len(c.even), func(i int) (float64, float64) { return c.mean(i), o.mean(i) })
	return min(r/math.Sqrt(a*b), 1)
}

// correlate is the correlation of n pairs.
func correlate(n int, pair func(i int) (x, y float64)) float64 {
	var a, b, aa, bb, ab float64
	for i := range n {
		x, y := pair(i)
		a, b, aa, bb, ab = a+x, b+y, aa+x*x, bb+y*y, ab+x*y
	}
	m := float64(n)
	return (ab - a*b/m) / math.Sqrt((aa-a*a/m)*(bb-b*b/m)+tiny)
}

const tiny = 1e-30

// leastCells that touch are a difference; a click is in one.
const leastCells = 2

// differ are the places where two pictures show something else, a rectangle for cells that touch.
func (c *cells) differ(o *cells) (list []image.Rectangle) {
	seen := make([]bool, c.across*c.down)
	is := func(x, y int) bool {
		if x < 0 || y < 0 || x >= c.across || y >= c.down || seen[y*c.across+x] {
			return false
		}
		d := math.Abs(c.mean(y*c.across+x) - o.mean(y*c.across+x))
		return d > max(cellSigmas*math.Sqrt(c.noise[y]+o.noise[y]), leastCell*255)
	}
	for y := range c.down {
		for x := range c.across {
			if !is(x, y) {
				continue
			}
			var r image.Rectangle
			n := 0
			for todo := []image.Point{{X: x, Y: y}}; len(todo) > 0; {
				p := todo[len(todo)-1]
				todo = todo[:len(todo)-1]
				if !is(p.X, p.Y) {
					continue
				}
				seen[p.Y*c.across+p.X] = true
				n++
				r = r.Union(image.Rect(p.X, p.Y, p.X+1, p.Y+1))
				for dy := -1; dy <= 1; dy++ {
					for dx := -1; dx <= 1; dx++ {
						todo = append(todo, image.Pt(p.X+dx, p.Y+dy))
					}
				}
			}
			if n >= leastCells {
				list = append(list, image.Rectangle{Min: r.Min.Mul(cellSize), Max: r.Max.Mul(cellSize)})
			}
		}
	}
	return list
}
