package psk

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/dsp/fourier"
)

const (
	binHz      = wideRate / keptLength
	smooth     = 60                    // bins on either side: a signal is about 31 Hz wide
	floorShare = 4                     // the first quarter of the sorted powers is noise, unless three quarters of the band are taken
	leastRatio = 1.12                  // of a peak to the noise: the mean of 121 bins strays by 9 %
	squareRate = wideRate / squareStep // Hz
	squareStep = 32
	squares    = keptLength / squareStep // 512 of baseband 125 a second, squared
	mostFound  = 32
	weakest    = 1e-4 // of the strongest: what is 40 dB weaker may be its harmonics, by a receiver or by few bits
	reachLines = 140  // the carrier is within 17 Hz of the middle of its hump
	fourReach  = 240  // within 15 Hz, of four phases
)

// finder finds the carriers of signals. A hump of the spectrum says about where one is; squared, it has a line at twice its carrier.
type finder struct {
	fft, small    *fourier.CmplxFFT
	z, spectrum   []complex128
	square, lines []complex128
	power, sorted []float64
	peaks         []int
	found         []float64
	four          bool // phases: the fourth power has the line
}

func newFinder(four bool) *finder {
	return &finder{
		four: four,
		fft:  fourier.NewCmplxFFT(keptLength), small: fourier.NewCmplxFFT(squares),
		z: make([]complex128, keptLength), spectrum: make([]complex128, keptLength),
		square: make([]complex128, squares), lines: make([]complex128, squares),
		power: make([]float64, keptLength), sorted: make([]float64, 0, keptLength),
		peaks: make([]int, 0, 512), found: make([]float64, 0, 512),
	}
}

// near is the carrier by a frequency that is known roughly; what was heard is that of the last call of find.
func (f *finder) near(hz float64) []float64 {
	b := int(hz/binHz) + keptLength/2
	f.found = append(f.found[:0], float64(b-keptLength/2)*binHz+f.carrier(b))
	return f.found
}

// find lists the carriers from low to high, in Hz from the middle, the strongest hump first.
func (f *finder) find(z []complex64, low, high float64) []float64 {
	for i, v := range z {
		f.z[i] = complex128(v)
	}
	f.fft.Coefficients(f.spectrum, f.z)
	bin := func(hz float64) int { return int(hz/binHz) + keptLength/2 }
	at := func(b int) complex128 { return f.spectrum[(b+keptLength/2)%keptLength] }
	first, last := bin(LeastPitchHz-wideCentreHz), bin(MostPitchHz-wideCentreHz)
	sum := 0.0
	size := func(b int) float64 { v := at(b); return real(v)*real(v) + imag(v)*imag(v) }
	for b := first - smooth; b <= first+smooth; b++ {
		sum += size(b)
	}
	f.sorted = f.sorted[:0]
	for b := first; b <= last; b++ {
		f.power[b] = sum
		f.sorted = append(f.sorted, sum)
		sum += size(b+smooth+1) - size(b-smooth)
	}
	slices.Sort(f.sorted)
	floor := max(f.sorted[len(f.sorted)/floorShare], weakest*f.sorted[len(f.sorted)-1])
	f.peaks, f.found = f.peaks[:0], f.found[:0]
	for b := max(bin(low), first+smooth); b <= min(bin(high), last-smooth); b++ {
		if p := f.power[b]; p > leastRatio*floor && p >= slices.Max(f.power[b-smooth:b+smooth+1]) {
			f.peaks = append(f.peaks, b)
		}
	}
	slices.SortStableFunc(f.peaks, func(a, b int) int {
		switch {
		case f.power[a] > f.power[b]:
			return -1
		case f.power[a] < f.power[b]:
			return 1
		}
		return 0
	})
	for _, b := range f.peaks[:min(len(f.peaks), mostFound)] {
		f.found = append(f.found, float64(b-keptLength/2)*binHz+f.carrier(b))
	}
	return f.found
}

// carrier is by how many Hz that of a hump is above its middle.
func (f *finder) carrier(b int) float64 {
	clear(f.lines)
	for k := -2 * smooth; k <= 2*smooth; k++ { // ±29 Hz
		f.lines[(k+squares)%squares] = f.spectrum[(b+k+keptLength+keptLength/2)%keptLength]
	}
	f.small.Sequence(f.square, f.lines)
	times, reach := 2.0, reachLines
	for i, v := range f.square {
		f.square[i] = v * v
		if f.four {
			f.square[i] *= v * v
		}
	}
	if f.four {
		times, reach = 4, fourReach
	}
	f.small.Coefficients(f.lines, f.square)
	best, most := 0, -1.0
	for k := -reach; k <= reach; k++ {
		v := f.lines[(k+squares)%squares]
		if p := math.Hypot(real(v), imag(v)); p > most {
			best, most = k, p
		}
	}
	return float64(best) * squareRate / squares / times
}
