package narrow

import (
	"math"

	"ionoscribe/demod"
)

const (
	Rate       = 4000.0 // complex samples of the band a second
	Hop        = 256    // samples that are dealt with at a time, 64 ms
	HopSeconds = Hop / Rate
	LineHz     = Rate / lines // from line to line
	lines      = 2 * Hop      // of the spectrum: windows overlap by half
)

// Spectrum is the mean power in the band: Welch's method, with Hann windows that overlap by half and an exponential mean.
// Frequencies are in Hz from the middle of the band.
type Spectrum struct {
	fft    *demod.FFT
	window [lines]float32
	gain   float64 // Σ window²
	recent [lines]complex64
	work   [lines]complex64
	power  [lines]float64 // variance of a band sample, if all its noise were like that of the line
	noise  [lines]float64 // the same of the noise, by the lines around
	frames int
	sorted []float64
	peaks  []Peak // see peaks.go
}

// The noise around a line is a quantile of the powers of the lines on either side.
const (
	powerSeconds = 2.5  // time constant of the mean; a trade of what stands out of noise for how soon
	noiseReach   = 48   // lines on either side, 375 Hz: several signals wide, and narrower than a receiver's filter
	noiseStep    = 16   // lines from one quantile to the next; the noise changes slowly
	noiseShare   = 0.25 // the quantile: with signals in half of the lines it is still one of the noise
	noiseNormal  = -0.6745
	// lowest and highest line of an audio band of 2000 ± 1650 Hz; beyond there is nothing
	bandFirst, bandLast = 45, 467

	// An exponential mean is as steady as the mean of so many independent powers.
	noiseFrames = 2*powerSeconds/HopSeconds - 1
	// Hann windows that overlap by half correlate by 1/6, so that each frame counts for one over this.
	noiseOverlap = 1 + 2./36
)

// New makes a spectrum.
func New() *Spectrum {
	s := &Spectrum{fft: demod.NewFFT(lines)}
	for i := range s.window {
		w := demod.Hann(i, lines)
		s.window[i] = float32(w)
		s.gain += w * w
	}
	s.sorted = make([]float64, 0, 2*noiseReach+1)
	s.peaks = make([]Peak, 0, lines/4)
	return s
}

// Reset forgets all.
func (s *Spectrum) Reset() {
	s.frames = 0
	s.recent, s.power, s.noise = [lines]complex64{}, [lines]float64{}, [lines]float64{}
	s.peaks = s.peaks[:0]
}

// Add takes a hop of the band.
func (s *Spectrum) Add(z []complex64) {
	copy(s.recent[:], s.recent[Hop:])
	copy(s.recent[lines-Hop:], z)
	s.frames++
	if s.frames < lines/Hop {
		return
	}
	for i, v := range s.recent {
		s.work[i] = complex(s.window[i]*real(v), s.window[i]*imag(v))
	}
	s.fft.Transform(s.work[:])
	gain := max(1/s.spectra(), HopSeconds/powerSeconds)
	keep, take := 1-gain, gain/s.gain
	for i, v := range &s.work {
		p := &s.power[(i+lines/2)%lines]
		*p = *p*keep + float64(real(v)*real(v)+imag(v)*imag(v))*take
	}
}

// spectra is how many windows have been transformed.
func (s *Spectrum) spectra() float64 { return float64(s.frames - lines/Hop + 1) }

// findNoise measures the noise around each line.
func (s *Spectrum) findNoise() {
	bias := s.noiseBias()
	first, end := 0, 0
	for i := range s.noise {
		if i%noiseStep != 0 {
			s.noise[i] = s.noise[i-1]
			continue
		}
		from := min(max(i-noiseReach, bandFirst), bandLast-noiseReach)
		to := max(min(i+noiseReach+1, bandLast), bandFirst+noiseReach)
		if from == first && to == end { // the lines of the step before
			s.noise[i] = s.noise[i-1]
			continue
		}
		first, end = from, to
		s.sorted = append(s.sorted[:0], s.power[from:to]...)
		s.noise[i] = demod.Quantile(s.sorted, int(float64(len(s.sorted))*noiseShare)) / bias
	}
}

// noiseBias is the quantile of the lines' powers over their mean: they are means of k powers of noise, Gamma-distributed,
// and the cube root of such a mean is nearly normal (E. B. Wilson and M. M. Hilferty, Proc. Nat. Acad. Sci. 17, 1931, from
// memory). noiseNormal is the quantile of the normal distribution for noiseShare.
func (s *Spectrum) noiseBias() float64 {
	k := min(s.spectra(), noiseFrames) / noiseOverlap
	r := 1 - 1/(9*k) + noiseNormal/(3*math.Sqrt(k))
	return r * r * r
}

// Noise is the variance of a band sample by the noise around a frequency.
func (s *Spectrum) Noise(hz float64) float64 {
	i := int((hz + Rate/2) / LineHz)
	return s.noise[min(max(i, 0), lines-1)]
}

// Ratio is the power over the noise near a frequency.
func (s *Spectrum) Ratio(hz float64) float64 {
	i := int(math.Round((hz + Rate/2) / LineHz))
	best := 0.0
	for k := max(i-1, 0); k <= min(i+1, lines-1); k++ {
		if s.noise[k] > 0 {
			best = max(best, s.power[k]/s.noise[k])
		}
	}
	return best
}

// Power is the power near a frequency, noise included.
func (s *Spectrum) Power(hz float64) float64 {
	i := min(max(int(math.Round((hz+Rate/2)/LineHz)), 1), lines-2)
	return max(s.power[i-1], s.power[i], s.power[i+1])
}
