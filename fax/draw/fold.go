package draw

import "math"

// folder adds up lines, column by column: as products z(n)·conj(z(n-2)), whose sum over lines has the mean
// frequency as its angle, weighted by power.
type folder struct {
	video *Video
	grid  grid
	z     []complex64
}

// newFolder prepares for the lines of g.
func newFolder(v *Video, g grid) *folder {
	return &folder{v, g, make([]complex64, int(g.period)+8)}
}

// foldable is g with no more columns than video samples, to a hundredth: others would be empty now and then.
func (g grid) foldable() grid {
	for float64(g.columns) > 1.01*g.period {
		g.columns = (g.columns + 1) / 2
	}
	return g
}

// add adds line r to the columns of sum, of which there is one more than the line has. A product is shared
// between the two columns whose middles it lies between.
func (f *folder) add(sum []complex64, r int) {
	columns := f.grid.columns
	per := float64(columns) / f.grid.period // columns a sample
	start := f.grid.start(r)
	at := int64(math.Floor(start))
	f.video.Read(f.z, at-1)
	// z[n] is sample at+n-1; its product with z[n-2] belongs to sample at+n-2.
	x := (float64(at)-start)*per - 0.5
	for n := 2; n < len(f.z); n++ {
		if x >= -0.5 && x < float64(columns)-0.5 {
			i := int(x + 1)
			share := float32(x + 1 - float64(i)) // of column i; the rest is column i-1's
			p := f.z[n-2]
			c := f.z[n] * complex(real(p), -imag(p))
			if i > 0 {
				sum[i-1] += complex(1-share, 0) * c
			} else {
				sum[columns-1] += complex(1-share, 0) * c // the line is a circle
			}
			sum[i] += complex(share, 0) * c
		}
		x += per
	}
	sum[0] += sum[columns]
	sum[columns] = 0
}
