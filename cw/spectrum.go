package cw

import (
	"math"
	"slices"
)

const (
	hop        = 256 // band samples that are dealt with at a time, 64 ms
	bins       = 512 // of 7.8 Hz
	binHz      = bandRate / bins
	hopSeconds = hop / bandRate
)

// spectrum is the mean power in the band by frequency.
type spectrum struct {
	window [bins]float32
	gain   float64 // Σ window²
	last   [bins]complex64
	work   [bins]complex64
	power  [bins]float64 // from the lowest frequency
	noise  [bins]float64 // variance of a band sample, from the bins around
	frames int
	sorted []float64
	peaks  []peak
}

type peak struct {
	hz    float64 // from the middle of the band
	power float64 // over the noise
}

const (
	bandFirst, bandLast = 45, 467 // bins of the band: 2000 Hz ± passHz

	powerSeconds = 2.5
	noiseReach   = 48                            // bins on either side, 375 Hz
	noiseShare   = 0.25                          // the quantile: with signals in half of the bins it is still one of the noise
	noiseNormal  = -0.6745                       // quantile of the normal distribution for that share
	noiseFrames  = 2*powerSeconds/hopSeconds - 1 // independent powers that count as much as those of an exponential mean
	noiseOverlap = 1 + 2./36                     // frames over independent ones: those of a Hann window that overlap by half correlate by 1/6
)

func newSpectrum() *spectrum {
	s := new(spectrum)
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
	s.last, s.power, s.noise = [bins]complex64{}, [bins]float64{}, [bins]float64{}
	s.peaks = s.peaks[:0]
}

// add takes a hop.
func (s *spectrum) add(z []complex64) {
	copy(s.last[:], s.last[hop:])
	copy(s.last[bins-hop:], z)
	s.frames++
	if s.frames < bins/hop {
		return
	}
	for i, v := range s.last {
		s.work[i] = complex(s.window[i]*real(v), s.window[i]*imag(v))
	}
	transform(&s.work)
	gain := max(1/float64(s.frames-bins/hop+1), hopSeconds/powerSeconds)
	keep, take := 1-gain, gain/s.gain
	for i, v := range &s.work {
		p := &s.power[(i+bins/2)%bins]
		*p = *p*keep + float64(real(v)*real(v)+imag(v)*imag(v))*take
	}
}

// find lists the peaks, the strongest first. lowest and highest limit them, in Hz from the middle.
func (s *spectrum) find(lowest, highest, least float64) []peak {
	s.peaks = s.peaks[:0]
	from, to := int((lowest+bandRate/2)/binHz), int((highest+bandRate/2)/binHz)
	bias := s.noiseBias()
	first, end := 0, 0
	for i := range s.noise {
		if i%16 != 0 {
			s.noise[i] = s.noise[i-1]
			continue
		}
		// Beyond the audio's band there is nothing.
		a := min(max(i-noiseReach, bandFirst), bandLast-noiseReach)
		b := max(min(i+noiseReach+1, bandLast), bandFirst+noiseReach)
		if a == first && b == end {
			s.noise[i] = s.noise[i-1]
			continue
		}
		first, end = a, b
		s.sorted = append(s.sorted[:0], s.power[a:b]...)
		s.noise[i] = quantile(s.sorted, int(float64(len(s.sorted))*noiseShare)) / bias
	}
	for i := max(from, 3); i <= min(to, bins-4); i++ {
		p := s.power[i]
		if p < least*s.noise[i] || p <= 0 || p < slices.Max(s.power[i-2:i+3]) {
			continue
		}
		a, b := math.Log(s.power[i-1]+1e-30), math.Log(s.power[i+1]+1e-30)
		m := math.Log(p)
		off := 0.0
		if d := a - 2*m + b; d < 0 {
			off = (a - b) / (2 * d)
		}
		s.peaks = append(s.peaks, peak{(float64(i)+off)*binHz - bandRate/2, p / s.noise[i]})
	}
	slices.SortFunc(s.peaks, func(a, b peak) int {
		switch {
		case a.power > b.power:
			return -1
		case a.power < b.power:
			return 1
		}
		return 0
	})
	// The sidebands of keying are no signals: those of a dot of 1/20 s lie 14 dB down at 25 Hz, 21 dB at 60 Hz.
	kept := s.peaks[:0]
	for _, p := range s.peaks {
		side := false
		for _, q := range kept {
			if d := math.Abs(p.hz - q.hz); d < 250 && p.power < q.power*math.Pow(10, -(6+d/10)/10) || d < 20 {
				side = true
				break
			}
		}
		if !side {
			kept = append(kept, p)
		}
	}
	s.peaks = kept
	return kept
}

// noiseBias is the quantile of the bins' powers over their mean: they are means of k powers of noise, Gamma-distributed
// (E. B. Wilson and M. M. Hilferty, Proc. Nat. Acad. Sci. 17, 1931, from memory).
func (s *spectrum) noiseBias() float64 {
	k := min(float64(s.frames-bins/hop+1), noiseFrames) / noiseOverlap
	r := 1 - 1/(9*k) + noiseNormal/(3*math.Sqrt(k))
	return r * r * r
}

// noiseAt is the variance of a band sample by the noise around a frequency.
func (s *spectrum) noiseAt(hz float64) float64 {
	i := int((hz + bandRate/2) / binHz)
	return s.noise[min(max(i, 0), bins-1)]
}

// at is the power over the noise near a frequency.
func (s *spectrum) at(hz float64) float64 {
	i := int(math.Round((hz + bandRate/2) / binHz))
	best := 0.0
	for k := max(i-1, 0); k <= min(i+1, bins-1); k++ {
		if s.noise[k] > 0 {
			best = max(best, s.power[k]/s.noise[k])
		}
	}
	return best
}

// absolute is the power near a frequency, whatever the noise.
func (s *spectrum) absolute(hz float64) float64 {
	i := min(max(int(math.Round((hz+bandRate/2)/binHz)), 1), bins-2)
	return max(s.power[i-1], s.power[i], s.power[i+1])
}

// quantile is what x[k] would be if x were sorted, which it is afterwards in part (C. A. R. Hoare, Algorithm 65: Find,
// 1961).
func quantile(x []float64, k int) float64 {
	for from, to := 0, len(x)-1; from < to; {
		pivot, i, j := x[k], from, to
		for i <= j {
			for x[i] < pivot {
				i++
			}
			for x[j] > pivot {
				j--
			}
			if i <= j {
				x[i], x[j] = x[j], x[i]
				i++
				j--
			}
		}
		if j < k {
			from = i
		}
		if k < i {
			to = j
		}
	}
	return x[k]
}
