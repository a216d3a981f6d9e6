package psk

import (
	"math"

	"gonum.org/v1/gonum/dsp/fourier"

	"ionoscribe/demod/narrow"
)

const (
	binHz      = wideRate / keptLength
	reachBins  = 120                   // on either side of a hump that are squared: 29 Hz
	squareRate = wideRate / squareStep // Hz
	squareStep = 32
	squares    = keptLength / squareStep // 512 of baseband 125 a second, squared
	reachLines = 140                     // the carrier is within 17 Hz of the middle of its hump
	fourReach  = 240                     // within 15 Hz, of four phases

	// A signal is 31 Hz wide, or two lines that far apart while it is idle: five lines of 8 Hz.
	besideLines = 2
	// leastRatio is of the power of a hump to the noise in it, which strays by 6 %; at -12 dB it has 6.
	leastRatio = 1.3
	mostFound  = 32
	weakest    = 1e-4 // of the strongest: what is 40 dB weaker may be its harmonics, by a receiver or by few bits
)

// finder finds the carriers of signals. A hump of the spectrum says about where one is; squared, it has a line at twice its carrier.
type finder struct {
	humps         *narrow.Spectrum
	fft, small    *fourier.CmplxFFT
	z, spectrum   []complex128 // of what is kept
	square, lines []complex128
	found         []float64
	four          bool // phases: the fourth power has the line
}

func newFinder(four bool) *finder {
	return &finder{
		four: four, humps: narrow.New(),
		fft: fourier.NewCmplxFFT(keptLength), small: fourier.NewCmplxFFT(squares),
		z: make([]complex128, keptLength), spectrum: make([]complex128, keptLength),
		square: make([]complex128, squares), lines: make([]complex128, squares),
		found: make([]float64, 0, mostFound),
	}
}

// find lists the carriers between two frequencies in what was heard of late, in Hz from the middle, the strongest hump first.
func (f *finder) find(z []complex64, low, high float64) []float64 {
	f.found = f.found[:0]
	peaks := f.humps.Peaks(besideLines, leastRatio, LeastPitchHz-wideCentreHz, MostPitchHz-wideCentreHz)
	strongest := 0.0
	for _, p := range peaks {
		strongest = max(strongest, p.Power)
	}
	for _, p := range peaks {
		if p.Hz >= low && p.Hz <= high && p.Power > weakest*strongest && len(f.found) < mostFound {
			f.found = append(f.found, p.Hz)
		}
	}
	return f.tuned(z)
}

// near is the carrier by a frequency that is known roughly.
func (f *finder) near(z []complex64, hz float64) []float64 {
	f.found = append(f.found[:0], hz)
	return f.tuned(z)
}

// tuned are the carriers of the humps that were found.
func (f *finder) tuned(z []complex64) []float64 {
	if len(f.found) == 0 {
		return nil
	}
	for i, v := range z {
		f.z[i] = complex128(v)
	}
	f.fft.Coefficients(f.spectrum, f.z)
	for i, hz := range f.found {
		b := int(math.Round(hz/binHz)) + keptLength/2
		f.found[i] = float64(b-keptLength/2)*binHz + f.carrier(b)
	}
	return f.found
}

// carrier is by how many Hz that of a hump is above its middle.
func (f *finder) carrier(b int) float64 {
	clear(f.lines)
	for k := -reachBins; k <= reachBins; k++ {
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
