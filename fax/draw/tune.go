package draw

import "math"

// White and black last long in the margin, the background and the phasing lines: they are peaks of the mean
// spectrum, free of the bias that noise puts on a discriminator.

// spectrumLength is the length of a spectrum in samples: 71 ms, shorter than the line at 240 lines a minute,
// with bins of 14 Hz between which the peak is interpolated.
const spectrumLength = 256

// maxOffsetHz is the largest error of tuning that is searched for.
const maxOffsetHz = 160

// meanSpectrum averages power spectra over parts of the video between from and to, at most count of them,
// evenly spread. Bin k is at k·VideoRate/spectrumLength Hz, negative frequencies in the upper half.
func meanSpectrum(v *Video, from, to int64, count int) []float64 {
	z := make([]complex64, spectrumLength)
	short := newShortSpectra()
	power := make([]float64, spectrumLength)
	step := max((to-from)/int64(count), spectrumLength/2)
	for at := from; at+spectrumLength <= to; at += step {
		v.Read(z, at)
		total := 0.0
		spectrum := short.of(z)
		for _, c := range short.x {
			total += real(c)*real(c) + imag(c)*imag(c)
		}
		if total == 0 {
			continue
		}
		for i, c := range spectrum {
			power[i] += (real(c)*real(c) + imag(c)*imag(c)) / total // a strong part counts no more than a faded one
		}
	}
	return power
}

// findOffset finds the middle between black and white, in Hz from CentreHz, from the peaks of the spectrum.
func findOffset(power []float64, deviation float64) float64 {
	const bin = VideoRate / spectrumLength
	level := func(hz float64) float64 {
		i := int(math.Round(hz/bin)) + spectrumLength
		return power[i%spectrumLength]
	}
	best, offset := 0.0, 0.0
	for o := -float64(maxOffsetHz); o <= maxOffsetHz; o += bin / 2 {
		if p := level(o+deviation) + level(o-deviation); p > best {
			best, offset = p, o
		}
	}
	peak := func(around float64) (hz, height float64) {
		for f := math.Round(around/bin)*bin - bin; f <= around+1.5*bin; f += bin {
			if p := level(f); p > height {
				hz, height = f, p
			}
		}
		// A Hann-windowed peak is nearly a parabola in its logarithm.
		l := []float64{math.Log(level(hz-bin) + 1e-12), math.Log(height + 1e-12), math.Log(level(hz+bin) + 1e-12)}
		return hz + peakOffset(l, 1)*bin, height
	}
	upper, up := peak(offset + deviation)
	lower, low := peak(offset - deviation)
	upper, lower = upper-deviation, lower+deviation
	const agree = 12 // Hz; farther apart, one of them is no peak of a level
	switch {
	case math.Abs(upper-lower) < agree:
		return (upper*up + lower*low) / (up + low)
	case up > low:
		return upper
	}
	return lower
}

func (d *Drawing) tuning() tuning { return tuning{d.OffsetHz, d.DeviationHz, d.Inverted} }
