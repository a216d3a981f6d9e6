package fax

import (
	"math"

	"ionoscribe/demod"
)

// Consecutive lines of a chart resemble each other: the video agrees with itself one line later, and much
// less a few milliseconds beside that. This finds the line rate, and tells a chart from noise and speech.

// A cell of the coarse video is 9 samples, 2.5 ms.
const (
	cellLength = 9
	cellRate   = VideoRate / cellLength // 400 Hz
	// agreementCells is the window, 20 s: ten lines at 30 lines a minute, twenty at 60.
	agreementCells = 20 * cellRate
	// keptCells bounds how far back a chart that is noticed late can begin.
	keptCells = 60 * cellRate
)

// cell is one of the coarse video.
type cell struct {
	brightness float32 // frequency from the centre, in units of DeviationHz
	m2, m4     float32 // sums of the second and fourth powers of the envelope
	inner      float32 // m2 after smoothing
}

// coarse makes cells of samples and keeps the last ones.
type coarse struct {
	before [2]complex64 // the last two samples
	smooth [2]complex64 // the last two smoothed ones
	sum    complex64
	now    cell
	n      int
	cells  []cell // ring of keptCells
	count  int64  // cells made since the beginning
}

func newCoarse() *coarse { return &coarse{cells: make([]cell, keptCells)} }

func (c *coarse) add(z []complex64) {
	for _, s := range z {
		// 1-2-1 smoothing halves the band to some ±650 Hz: a cell needs no more detail.
		f := s + 2*c.before[1] + c.before[0]
		c.before[0], c.before[1] = c.before[1], s
		p := c.smooth[0]
		c.smooth[0], c.smooth[1] = c.smooth[1], f
		c.sum += f * complex(real(p), -imag(p))
		c.now.inner += (real(f)*real(f) + imag(f)*imag(f)) / 16
		e := real(s)*real(s) + imag(s)*imag(s)
		c.now.m2 += e
		c.now.m4 += e * e
		c.n++
		if c.n == cellLength {
			c.now.brightness = demod.Phase(c.sum) * (VideoRate / (4 * math.Pi * DeviationHz))
			c.cells[c.count%keptCells] = c.now
			c.count++
			c.now, c.sum, c.n = cell{}, 0, 0
		}
	}
}

// window copies the last n cells into dst, oldest first.
func (c *coarse) last(dst []cell) []cell {
	n := min(int64(cap(dst)), c.count, keptCells)
	dst = dst[:0]
	for i := c.count - n; i < c.count; i++ {
		dst = append(dst, c.cells[i%keptCells])
	}
	return dst
}

// fadeCells is a stretch over which a path does not fade: 0.25 s.
const fadeCells = 100

// envelopeMoments tell the share of a constant-envelope signal, whose power may fade from stretch to stretch. It is that
// of demod.MomentSNR, the squares of the signal's power being averaged.
type envelopeMoments struct{ power, squares, n float64 }

// add takes a stretch: the sums of the second and fourth powers of the envelope, of so many samples.
func (e *envelopeMoments) add(m2, m4, samples float64) {
	m2, m4 = m2/samples, m4/samples
	// The square of a mean of noise powers is too large by a part in the number of samples.
	e.squares += samples * (2*m2*m2*samples/(samples+1) - m4)
	e.power += samples * m2
	e.n += samples
}

// share is that of the power.
func (e *envelopeMoments) share() float64 {
	if e.squares <= 0 {
		return 0
	}
	return min(math.Sqrt(e.squares/e.n)/(e.power/e.n), 1)
}

// envelope is the share of the power in the cells that is a constant-envelope signal.
func envelope(w []cell) float64 {
	var e envelopeMoments
	for i := 0; i < len(w); i += fadeCells {
		part := w[i:min(i+fadeCells, len(w))]
		var m2, m4 float64
		for _, c := range part {
			m2 += float64(c.m2)
			m4 += float64(c.m4)
		}
		e.add(m2, m4, float64(len(part)*cellLength))
	}
	return e.share()
}

// correlate is the correlation of the cells' brightness, less its mean, with themselves lag cells later.
func correlate(w []cell, mean float64, lag int) float64 {
	var sum, a2, b2 float64
	for i, c := range w[:len(w)-lag] {
		a, b := float64(c.brightness)-mean, float64(w[i+lag].brightness)-mean
		sum += a * b
		a2 += a * a
		b2 += b * b
	}
	return sum / (math.Sqrt(a2*b2) + 1e-12)
}

func meanBrightness(w []cell) float64 {
	var mean float64
	for _, c := range w {
		mean += float64(c.brightness)
	}
	return mean / float64(len(w))
}

// agreement is the correlation of the cells with themselves lag cells later, less the greater of what it is near
// cells and twice as many before and after: 0 for noise, with a standard deviation of about 1/√len(w).
func agreement(w []cell, lag, near int) float64 {
	mean := meanBrightness(w)
	beside := 0.0
	for _, d := range [...]int{-2 * near, -near, near, 2 * near} {
		beside = max(beside, correlate(w, mean, lag+d))
	}
	return correlate(w, mean, lag) - beside
}

// drawn reports whether cells that agree with themselves a line later can be a picture: not a signal of a shorter
// period (hum, reversals of a teleprinter), whose agreement beside that falls and rises again to as much within
// 100 ms, nor one that lies outside the sub-carrier's range.
func drawn(w []cell, lpm float64) bool {
	const far = 40 // cells
	mean := meanBrightness(w)
	lag := int(math.Round(60 / lpm * cellRate))
	peak := correlate(w, mean, lag)
	if !persists(w, lag) {
		return false
	}
	for _, side := range []int{-1, 1} {
		low := peak
		for d := 1; d <= far && lag+d < len(w); d++ {
			c := correlate(w, mean, lag+side*d)
			if low = min(low, c); c > 0.8*peak && c > low+0.4*peak {
				return false
			}
		}
	}
	var all, inner float64
	for _, c := range w {
		all += float64(c.m2)
		inner += float64(c.inner)
	}
	return inner > leastInner*all
}

// persists reports whether the agreement is one of lines: at a line's period to a cell, and some of it left at one of
// the next multiples of that; hatching returns only after as many lines as it leans by its own distance. What is keyed
// to a clock of its own, as start-stop characters of 165 ms are, may agree after about a line, but not exactly.
func persists(w []cell, lag int) bool {
	const lines, left = 6, 0.2
	near := agreement(w, lag, besideUnknown)
	if max(agreement(w, lag-2, besideUnknown), agreement(w, lag+2, besideUnknown)) > near {
		return false
	}
	for n := 2; n <= lines && 2*n*lag <= len(w); n++ {
		if agreement(w, n*lag, besideUnknown) > left*near {
			return true
		}
	}
	return 4*lag > len(w) // too short to tell
}

// leastInner is the least share of the power that the 1-2-1 smoothing passes: white noise keeps 0.375, a chart 0.6
// to 0.9, what is 1000 Hz beside the sub-carrier 0.17.
const leastInner = 0.3

// Distances at which agreement is compared, in cells. 15 ms keep music out; half and half phasing at 60 lines a
// minute agrees with itself nearly as much 15 ms beside a line (94 %), so that where a chart is known to be it is 30 ms.
const (
	besideUnknown = 6
	besideChart   = 12
)

// lineRate finds the line rate of the cells, among rates; ok is false if there is none.
func lineRate(w []cell, rates []float64, near int) (lpm, strength float64) {
	best := 0.0
	found := [8]float64{}
	for i, r := range rates {
		lag := int(math.Round(60 / r * cellRate))
		if lag*3 > len(w) {
			continue
		}
		found[i] = agreement(w, lag, near)
		best = max(best, found[i])
	}
	// A chart agrees with itself at multiples of its line too: the fastest rate that does nearly as well. Fades may
	// take more from the fast one; where a chart is known to be, others have nothing there.
	share := 0.75
	if near == besideChart {
		share = 0.5
	}
	for i := len(rates) - 1; i >= 0; i-- {
		if found[i] > share*best {
			return rates[i], found[i]
		}
	}
	return 0, 0
}
