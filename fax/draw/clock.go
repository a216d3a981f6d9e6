package draw

import (
	"math"

	"ionoscribe/demod"
)

// The line clock is found from what is vertical in a chart: the pulses of phasing, the frame, the margin. Of
// all slants, the right one makes the sums down the columns differ most. The search is a discrete Radon
// transform over pairs of rows, pairs of pairs and so on (Götz and Druckmüller, Pattern Recognition 28, 1995,
// from memory), first on a sketch, then on sums of a few rows at full resolution.

// sketchCells is the number of cells in a line of the sketch; sketchRows the rows that are summed coherently.
const (
	sketchCells = 512
	sketchRows  = 1024
)

// sketch is a coarse picture of the video at a given line rate, one byte a cell: brightness in units of DeviationHz,
// times 64.
type sketch struct {
	rows  int
	cells []int8
}

// newSketch draws rows lines of period samples from index origin on.
func newSketch(v *Video, origin, period float64, rows int) *sketch {
	s := &sketch{rows: rows, cells: make([]int8, rows*sketchCells)}
	z := make([]complex64, int(period)+8)
	for r := range rows {
		start := origin + float64(r)*period
		at := int64(math.Floor(start))
		v.Read(z, at)
		row := s.row(r)
		n, step := 2, period/sketchCells
		edge := start - float64(at) + 2
		for i := range row {
			edge += step
			var sum complex64
			for ; n < int(edge); n++ {
				p := z[n-2]
				sum += z[n] * complex(real(p), -imag(p))
			}
			f := demod.Phase(sum) * (VideoRate / (4 * math.Pi * DeviationHz) * 64)
			row[i] = int8(min(max(f, -127), 127))
		}
	}
	return s
}

func (s *sketch) row(r int) []int8 { return s.cells[r*sketchCells:][:sketchCells] }

// slant finds the slant of the sketch in lines a line (the clock error, as a fraction) within ±limit, and how
// many times sharper it is than the sharpest one that is not its neighbour.
func (s *sketch) slant(limit float64) (slant, strength float64) {
	size := 64
	for size < s.rows && size < sketchRows {
		size *= 2
	}
	scale := float64(size * sketchCells) // cells over size rows
	reach := int(limit*scale) + 1
	score := make([]float64, 2*reach+1) // slants -reach..reach, in cells over size rows
	a, b := make([]float32, size*sketchCells), make([]float32, size*sketchCells)
	for first := 0; first < s.rows; first += size {
		for _, sign := range []int{1, -1} {
			for r := range size {
				dst := a[r*sketchCells:][:sketchCells]
				if first+r >= s.rows {
					clear(dst)
					continue
				}
				edges(dst, s.row(first+r))
			}
			out := columnSums(a, b, size, reach, sketchCells)
			for t := range reach + 1 {
				if sign < 0 && t == 0 {
					continue
				}
				score[reach+sign*t] += sharpness(out[t*sketchCells:][:sketchCells])
			}
			if sign > 0 {
				s.mirror()
			}
		}
		s.mirror()
	}
	best := 0
	for i, v := range score {
		if v > score[best] {
			best = i
		}
	}
	second := 1e-9
	for i, v := range score {
		if i < best-3 || i > best+3 {
			second = max(second, v)
		}
	}
	at := float64(best-reach) + peakOffset(score, best)
	return at / scale, score[best] / second
}

// sharpness is the sum of fourth powers: a line that runs through the whole chart counts for more than any
// number of short strokes.
func sharpness(columns []float32) float64 {
	sum := 0.0
	for _, c := range columns {
		c *= c
		sum += float64(c) * float64(c)
	}
	return sum
}

// mirror turns every row around, so that one loop serves slants of both signs.
func (s *sketch) mirror() {
	for r := range s.rows {
		row := s.row(r)
		for i, j := 0, len(row)-1; i < j; i, j = i+1, j-1 {
			row[i], row[j] = row[j], row[i]
		}
	}
}

// edges sets dst to the differences of neighbouring cells but one, which is where vertical lines show.
func edges(dst []float32, row []int8) {
	for i := range dst {
		dst[i] = float32(row[(i+1)%len(row)]) - float32(row[(i+len(row)-1)%len(row)])
	}
}

// columnSums returns, for each slant t from 0 to reach columns over size rows of n, the sums along that slant for every
// column. a holds the rows; both slices are used up.
func columnSums(a, b []float32, size, reach, n int) []float32 {
	for h := 1; h < size; h *= 2 { // blocks of h rows become blocks of 2h
		slants := min(2*h, (2*h*reach+size-1)/size+2)
		for block := 0; block < size; block += 2 * h {
			for t := range slants {
				top := a[(block+t/2)*n:][:n]
				low := a[(block+h+t/2)*n:][:n]
				dst := b[(block+t)*n:][:n]
				shift := (t + 1) / 2 % n
				for i, c := range low[shift:] {
					dst[i] = top[i] + c
				}
				for i, c := range low[:shift] {
					dst[n-shift+i] = top[n-shift+i] + c
				}
			}
		}
		a, b = b, a
	}
	return a
}

// stackRows rows are summed before the fine search: at the 2 ppm that the sketch leaves, and 1810 pixels a
// line, they shift by 0.06 pixels.
const stackRows = 16

// stack holds sums of neighbouring rows, at nearly full resolution.
type stack struct {
	columns int
	every   int // rows from one sum to the next
	sums    [][]complex64
}

// newStack sums the lines of g.
func newStack(v *Video, g grid, rows int) *stack {
	s := &stack{columns: g.columns, every: stackRows}
	f := newFolder(v, g)
	for r := range rows {
		if r%stackRows == 0 {
			s.sums = append(s.sums, make([]complex64, g.columns+1))
		}
		f.add(s.sums[len(s.sums)-1], r)
	}
	for i, sum := range s.sums {
		s.sums[i] = sum[:g.columns]
	}
	return s
}

// sharpest is the slant, in lines a line and within ±limit, at which the sums down the columns differ most.
func (s *stack) sharpest(limit float64) float64 {
	lines := float64(len(s.sums) * s.every)
	step := 0.25 / lines / float64(s.columns) // a quarter of a column over the whole chart
	rows := s.brightness()
	for r, w := range s.weights() {
		for i := range rows[r] {
			rows[r][i] *= float32(w)
		}
	}
	total, work := make([]float32, s.columns), make([]float32, 0, s.columns+3)
	best, at := 0.0, 0.0
	for k := -math.Ceil(limit / step); k*step <= limit; k++ {
		clear(total)
		for r, row := range rows {
			addShifted(total, row, k*step*float64(r*s.every*s.columns), work)
		}
		if v := sharpness(steps(total)); v > best {
			best, at = v, k*step
		}
	}
	return at
}

// brightness is the stack in real numbers: brightness in units of the rows' own power.
func (s *stack) brightness() [][]float32 {
	rows := make([][]float32, len(s.sums))
	for r, sum := range s.sums {
		rows[r] = make([]float32, len(sum))
		scale := 1 / (size(sum) + 1e-20)
		for i, c := range sum {
			rows[r][i] = imag(c) * scale
		}
	}
	return rows
}

// weights are how much the rows count: less in fades, where noise is strong.
func (s *stack) weights() []float64 {
	weights := make([]float64, len(s.sums))
	var mean float64
	for r, sum := range s.sums {
		weights[r] = float64(size(sum))
		mean += weights[r] / float64(len(s.sums))
	}
	for r := range weights {
		weights[r] = min(weights[r]/(mean+1e-20), 1)
	}
	return weights
}

// size is the mean size of the values of a row.
func size(row []complex64) (mean float32) {
	for _, c := range row {
		mean += demod.Sqrt32(demod.Power(c)) / float32(len(row))
	}
	return mean
}

// steps sets row to the differences of means over five columns: where it is dark on one side and light on the
// other. They are wide enough to bear the half column that a trial slant is off.
func steps(row []float32) []float32 {
	n := len(row)
	out := make([]float32, n)
	for i := range out {
		for k := 1; k <= 5; k++ {
			out[i] += row[(i+k)%n] - row[(i+n-k)%n]
		}
	}
	return out
}

// addShifted adds the circular row to total, so that total[i] gets row[i+shift], by cubic interpolation
// (Catmull-Rom; a linear one blurs by the fraction of the shift and so prefers slants near zero).
func addShifted(total, row []float32, shift float64, work []float32) {
	n := len(row)
	whole := math.Floor(shift)
	f := float32(shift - whole)
	h0, h3 := f*(-0.5+f*(1-0.5*f)), f*f*(0.5*f-0.5)
	h1, h2 := 1+f*f*(1.5*f-2.5), f*(0.5+f*(2-1.5*f))
	o := ((int(whole)-1)%n + n) % n
	work = append(append(work[:0], row[o:]...), row[:o]...)
	work = append(work, work[:3]...)
	for i := range total {
		w := work[i : i+4 : i+4]
		total[i] += h0*w[0] + h1*w[1] + h2*w[2] + h3*w[3]
	}
}
