package cw

import (
	"math"

	"ionoscribe/demod"
)

const (
	hop        = 256 // band samples that are dealt with at a time, 64 ms
	hopSeconds = hop / bandRate
	bins       = 2 * hop // lines of the spectrum: windows overlap by half
	binHz      = bandRate / bins
)

// spectrum is the mean power in the band: Welch's method, with Hann windows that overlap by half and an exponential mean.
// Its lines are binHz apart, from the lowest frequency to the highest; frequencies are in Hz from the middle of the band.
type spectrum struct {
	fft    *demod.FFT
	window [bins]float32
	gain   float64 // Σ window²
	recent [bins]complex64
	work   [bins]complex64
	power  [bins]float64 // variance of a band sample, if all its noise were like that of the line
	noise  [bins]float64 // the same of the noise, by the lines around
	frames int
	sorted []float64
	peaks  []peak // see peaks.go
}

// The noise around a line is a quantile of the powers of the lines on either side.
const (
	powerSeconds = 2.5  // time constant of the mean; a trade of what stands out of noise for how soon
	noiseReach   = 48   // lines on either side, 375 Hz: several signals wide, and narrower than a receiver's filter
	noiseStep    = 16   // lines from one quantile to the next; the noise changes slowly
	noiseShare   = 0.25 // the quantile: with signals in half of the lines it is still one of the noise
	noiseNormal  = -0.6745
	// lowest and highest line of the audio's band, 2000 Hz ± passHz; beyond there is nothing
	bandFirst, bandLast = 45, 467

	// An exponential mean is as steady as the mean of so many independent powers.
	noiseFrames = 2*powerSeconds/hopSeconds - 1
	// Hann windows that overlap by half correlate by 1/6, so that each frame counts for one over this.
	noiseOverlap = 1 + 2./36
)

func newSpectrum() *spectrum {
	s := &spectrum{fft: demod.NewFFT(bins)}
	for i := range s.window {
		w := 0.5 - 0.5*math.Cos(2*math.Pi*(float64(i)+0.5)/bins) // Hann
		s.window[i] = float32(w)
		s.gain += w * w
	}
	s.sorted = make([]float64, 0, 2*noiseReach+1)
	s.peaks = make([]peak, 0, bins/4)
	return s
}

func (s *spectrum) reset() {
	s.frames = 0
	s.recent, s.power, s.noise = [bins]complex64{}, [bins]float64{}, [bins]float64{}
	s.peaks = s.peaks[:0]
}

// add takes a hop of the band.
func (s *spectrum) add(z []complex64) {
	copy(s.recent[:], s.recent[hop:])
	copy(s.recent[bins-hop:], z)
	s.frames++
	if s.frames < bins/hop {
		return
	}
	for i, v := range s.recent {
		s.work[i] = complex(s.window[i]*real(v), s.window[i]*imag(v))
	}
	s.fft.Transform(s.work[:])
	gain := max(1/s.spectra(), hopSeconds/powerSeconds)
	keep, take := 1-gain, gain/s.gain
	for i, v := range &s.work {
		p := &s.power[(i+bins/2)%bins]
		*p = *p*keep + float64(real(v)*real(v)+imag(v)*imag(v))*take
	}
}

// spectra is how many windows have been transformed.
func (s *spectrum) spectra() float64 { return float64(s.frames - bins/hop + 1) }

// findNoise measures the noise around each line.
func (s *spectrum) findNoise() {
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
func (s *spectrum) noiseBias() float64 {
	k := min(s.spectra(), noiseFrames) / noiseOverlap
	r := 1 - 1/(9*k) + noiseNormal/(3*math.Sqrt(k))
	return r * r * r
}

// noiseAt is the variance of a band sample by the noise around a frequency.
func (s *spectrum) noiseAt(hz float64) float64 {
	i := int((hz + bandRate/2) / binHz)
	return s.noise[min(max(i, 0), bins-1)]
}

// ratioAt is the power over the noise near a frequency.
func (s *spectrum) ratioAt(hz float64) float64 {
	i := int(math.Round((hz + bandRate/2) / binHz))
	best := 0.0
	for k := max(i-1, 0); k <= min(i+1, bins-1); k++ {
		if s.noise[k] > 0 {
			best = max(best, s.power[k]/s.noise[k])
		}
	}
	return best
}

// powerAt is the power near a frequency, noise included.
func (s *spectrum) powerAt(hz float64) float64 {
	i := min(max(int(math.Round((hz+bandRate/2)/binHz)), 1), bins-2)
	return max(s.power[i-1], s.power[i], s.power[i+1])
}
