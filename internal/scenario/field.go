package scenario

import (
	"math"
	"math/rand/v2"
)

// noise is gradient noise: a smooth random field of zero mean, one bump to about one unit of length.
type noise uint64

// hash mixes a lattice point into 64 bits (finaliser of the SplitMix64 generator, Steele, Lea, Flood 2014).
func (n noise) hash(x, y int) uint64 {
	h := uint64(n) + uint64(int64(x))*0x9e3779b97f4a7c15 + uint64(int64(y))*0xd1b54a32d192ed03
	h = (h ^ h>>30) * 0xbf58476d1ce4e5b9
	h = (h ^ h>>27) * 0x94d049bb133111eb
	return h ^ h>>31
}

var gradients = func() (g [256]point) {
	for i := range g {
		g[i] = polar(point{}, 1, 2*math.Pi*float64(i)/256)
	}
	return
}()

func (n noise) at(x, y float64) float64 {
	fx, fy := math.Floor(x), math.Floor(y)
	i, j, u, v := int(fx), int(fy), x-fx, y-fy
	corner := func(di, dj int) float64 {
		g := gradients[n.hash(i+di, j+dj)&255]
		return g.x*(u-float64(di)) + g.y*(v-float64(dj))
	}
	s, t := ease(u), ease(v)
	top := corner(0, 0)*(1-s) + corner(1, 0)*s
	bottom := corner(0, 1)*(1-s) + corner(1, 1)*s
	return top*(1-t) + bottom*t
}

// ease is 6t⁵-15t⁴+10t³, the lowest polynomial from 0 to 1 with two zero derivatives at both ends, which keeps
// contour lines of the noise free of kinks.
func ease(t float64) float64 { return t * t * t * (t*(6*t-15) + 10) }

// fractal adds octaves of the noise, each of half the size and gain times the height of the one before. Each is
// turned by the angle of a 3-4-5 triangle, or the lattices would show where they coincide.
func (n noise) fractal(x, y float64, octaves int, gain float64) float64 {
	sum, height := 0.0, 1.0
	for o := range octaves {
		sum += height * (n+noise(o)*7919).at(x, y)
		x, y, height = 2*(0.8*x-0.6*y)+17.3, 2*(0.6*x+0.8*y)+9.1, height*gain
	}
	return sum
}

// waves is a sum of plane waves: an even smoother random field, without a lattice.
type waves []struct{ kx, ky, phase, height float64 }

// newWaves draws n waves of lengths from shortest to longest pixels, the longer the higher.
func newWaves(r *rand.Rand, n int, shortest, longest float64) waves {
	w := make(waves, n)
	for i := range w {
		l := shortest * math.Pow(longest/shortest, r.Float64())
		a := 2 * math.Pi * r.Float64()
		w[i].kx, w[i].ky = 2*math.Pi/l*math.Cos(a), 2*math.Pi/l*math.Sin(a)
		w[i].phase, w[i].height = 2*math.Pi*r.Float64(), l/longest
	}
	return w
}

func (w waves) at(x, y float64) float64 {
	sum := 0.0
	for i := range w {
		sum += w[i].height * math.Cos(w[i].kx*x+w[i].ky*y+w[i].phase)
	}
	return sum
}

// grid samples a field every step pixels over an area.
type grid struct {
	x0, y0, step float64
	nx, ny       int
	v            []float64
}

func sample(x0, y0, x1, y1, step float64, f func(x, y float64) float64) *grid {
	g := &grid{x0: x0, y0: y0, step: step}
	g.nx, g.ny = int(math.Ceil((x1-x0)/step))+1, int(math.Ceil((y1-y0)/step))+1
	g.v = make([]float64, g.nx*g.ny)
	for j := range g.ny {
		for i := range g.nx {
			g.v[j*g.nx+i] = f(x0+float64(i)*step, y0+float64(j)*step)
		}
	}
	return g
}

func (g *grid) bounds() (lo, hi float64) {
	lo, hi = math.Inf(1), math.Inf(-1)
	for _, v := range g.v {
		lo, hi = min(lo, v), max(hi, v)
	}
	return
}

// contours returns the lines where the field equals level (marching squares, joined to polylines). High values
// lie on the same side of all of them only by chance; a closed line ends where it starts.
func (g *grid) contours(level float64) [][]point {
	// An edge of the grid is numbered 2·(its left or upper point), plus 1 if it is vertical.
	next := make([][2]int32, 2*g.nx*g.ny) // edges that a line leads to from here, as number+1
	link := func(a, b int) {
		for _, e := range [2][2]int{{a, b}, {b, a}} {
			n := &next[e[0]]
			if n[0] == 0 {
				n[0] = int32(e[1] + 1)
			} else {
				n[1] = int32(e[1] + 1)
			}
		}
	}
	for j := range g.ny - 1 {
		for i := range g.nx - 1 {
			p := j*g.nx + i
			a, b, c, d := g.v[p] > level, g.v[p+1] > level, g.v[p+g.nx+1] > level, g.v[p+g.nx] > level
			top, right, bottom, left := 2*p, 2*(p+1)+1, 2*(p+g.nx), 2*p+1
			var ends [4]int
			n := 0
			for _, e := range [4]struct {
				cut  bool
				edge int
			}{{a != b, top}, {b != c, right}, {c != d, bottom}, {d != a, left}} {
				if e.cut {
					ends[n] = e.edge
					n++
				}
			}
			switch {
			case n == 2:
				link(ends[0], ends[1])
			case n == 4: // a saddle: the mean decides which corners are joined
				mean := (g.v[p] + g.v[p+1] + g.v[p+g.nx] + g.v[p+g.nx+1]) / 4
				if (mean > level) == a {
					link(top, right)
					link(bottom, left)
				} else {
					link(top, left)
					link(bottom, right)
				}
			}
		}
	}
	place := func(e int) point {
		p := e / 2
		q := p + 1
		if e%2 == 1 {
			q = p + g.nx
		}
		t := (level - g.v[p]) / (g.v[q] - g.v[p])
		at := func(p int) point {
			return point{g.x0 + float64(p%g.nx)*g.step, g.y0 + float64(p/g.nx)*g.step}
		}
		return mix(at(p), at(q), t)
	}
	var lines [][]point
	walk := func(e int) {
		line := []point{place(e)}
		start := e
		for {
			n := next[e]
			to := int(n[0])
			if to == 0 {
				if to = int(n[1]); to == 0 {
					break
				}
			}
			to--
			unlink(&next[e], to)
			unlink(&next[to], e)
			line = append(line, place(to))
			if e = to; e == start {
				break
			}
		}
		lines = append(lines, line)
	}
	for e := range next { // open lines first, from their ends
		if n := next[e]; (n[0] == 0) != (n[1] == 0) {
			walk(e)
		}
	}
	for e := range next {
		if next[e][0] != 0 {
			walk(e)
		}
	}
	return lines
}

func unlink(n *[2]int32, e int) {
	for i := range n {
		if n[i] == int32(e+1) {
			n[i] = 0
			return
		}
	}
}
