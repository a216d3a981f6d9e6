package psk

import (
	"math"
	"math/cmplx"
	"slices"

	"gonum.org/v1/gonum/dsp/fourier"
)

const (
	spectrumLength = 4096 // wide samples, 1.02 s: lines 0.98 Hz apart
	lineHz         = wideRate / spectrumLength
	spectra        = 4 // that are averaged

	reach    = 25   // lines, 24 Hz, to either side of a pitch in which its power is
	leastHz  = 25.0 // between two signals
	leastSNR = 1.6  // power within reach over that of the noise, of a candidate

	// A candidate is judged by 4 s, and if that is not enough by 8 s.
	acquireLength = 125 * symbolLength
	longLength    = 250 * symbolLength
	mostPoints    = longLength / stepLength
	squaredLength = 2048

	// steadyEvidence makes a candidate a signal: n symbols of noise are steadier than s with the probability exp(-n·s²).
	steadyEvidence = 40.0
	// leastDrift in Hz a second is more than the halves of what a candidate is judged by differ by in noise: 0.3 at the limit, as standard deviation.
	leastDrift = 0.6
	// halfSteady is asked of both halves for that: the signal may have begun within one.
	halfSteady = 0.6
	// leastReversals is a share of symbols: a carrier has none, text some 0.45, idle time all.
	leastReversals = 0.12
)

// finder looks for narrow signals.
type finder struct {
	fft     *fourier.CmplxFFT
	squared *fourier.CmplxFFT
	in, out []complex128
	power   [spectra][spectrumLength]float64
	count   int
	mean    [spectrumLength]float64
	sorted  []float64
	found   []candidate
	y       []complex128
}

type candidate struct{ hz, snr float64 }

// acquired is a signal that was found.
type acquired struct {
	hz     float64 // in the middle of the samples that it was judged by
	drift  float64 // Hz a second
	timing int64   // grid point of a symbol from the beginning on
	steady float64
	noise  float64 // power behind the filter
	points int64   // grid points that it was judged by
}

func newFinder() *finder {
	return &finder{fft: fourier.NewCmplxFFT(spectrumLength), squared: fourier.NewCmplxFFT(squaredLength), in: make([]complex128, spectrumLength),
		out: make([]complex128, spectrumLength), sorted: make([]float64, 0, spectrumLength), found: make([]candidate, 0, spectrumLength), y: make([]complex128, mostPoints)}
}

// line is that of a frequency.
func line(hz float64) int { return int(math.Round((hz-wideCentreHz)/lineHz)) + spectrumLength/2 }

// hear takes the latest samples.
func (f *finder) hear(z []complex64) {
	sum := 0.0
	for i := range f.in {
		w := 0.5 - 0.5*math.Cos(2*math.Pi*(float64(i)+0.5)/spectrumLength)
		sum += w * w
		f.in[i] = complex128(z[i]) * complex(w, 0)
	}
	out := f.fft.Coefficients(f.out, f.in)
	p := &f.power[f.count%spectra]
	f.count++
	for i, v := range out { // white noise has its power in each line
		p[(i+spectrumLength/2)%spectrumLength] = (real(v)*real(v) + imag(v)*imag(v)) / sum
	}
	n := min(f.count, spectra)
	for i := range f.mean {
		f.mean[i] = 0
		for k := range n {
			f.mean[i] += f.power[k][i] / float64(n)
		}
	}
}

// noiseAt is the power of the noise around a frequency: that which a third of the lines around are below, made the mean.
func (f *finder) noiseAt(hz float64) float64 {
	const around = 400.0
	f.sorted = append(f.sorted[:0], f.mean[line(max(hz-around, LeastPitchHz-50)):line(min(hz+around, MostPitchHz+50))]...)
	slices.Sort(f.sorted)
	return 1.2 * f.sorted[len(f.sorted)/3]
}

// candidates are pitches between two at which there may be a signal, the strongest first.
func (f *finder) candidates(lowHz, highHz float64) []candidate {
	f.found = f.found[:0]
	sum := 0.0
	first, last := line(lowHz), line(highHz)
	for i := first - reach; i <= first+reach; i++ {
		sum += f.mean[i]
	}
	noise := f.noiseAt(lowHz)
	for i := first; i <= last; i++ {
		if (i-first)%256 == 0 {
			noise = f.noiseAt(wideCentreHz + float64(i-spectrumLength/2)*lineHz)
		}
		if snr := sum / float64(2*reach+1) / (noise + 1e-20); snr > leastSNR {
			f.found = append(f.found, candidate{wideCentreHz + float64(i-spectrumLength/2)*lineHz, snr})
		}
		sum += f.mean[i+reach+1] - f.mean[i-reach]
	}
	slices.SortStableFunc(f.found, func(a, b candidate) int {
		switch {
		case a.snr > b.snr:
			return -1
		case a.snr < b.snr:
			return 1
		}
		return 0
	})
	kept := f.found[:0]
	for _, c := range f.found {
		if !slices.ContainsFunc(kept, func(k candidate) bool { return math.Abs(k.hz-c.hz) < leastHz }) {
			kept = append(kept, c)
		}
	}
	return kept
}

// acquire judges a candidate by the latest samples.
func (f *finder) acquire(hz float64, z []complex64) (a acquired, ok bool) {
	for pass := range 2 { // the pitch is known better the second time
		f.filter(hz, z)
		if pass == 0 && f.steadiest() < hopeless {
			return a, false
		}
		for i := range squaredLength {
			f.in[i] = 0
			if i < len(f.y) {
				f.in[i] = f.y[i] * f.y[i]
			}
		}
		out := f.squared.Coefficients(f.out[:squaredLength], f.in[:squaredLength])
		best, most := 0, 0.0
		const within = 200 // lines, 0.12 Hz apart, of twice the offset: half the distance of signals
		for i := -within; i <= within; i++ {
			v := out[(i+squaredLength)%squaredLength]
			if p := real(v)*real(v) + imag(v)*imag(v); p > most {
				best, most = i, p
			}
		}
		hz += float64(best) * wideRate / stepLength / squaredLength / 2
	}
	if hz < LeastPitchHz-5 || hz > MostPitchHz+5 {
		return a, false
	}
	f.filter(hz, z)
	var energy [perSymbol]float64
	for i, y := range f.y {
		energy[i%perSymbol] += real(y)*real(y) + imag(y)*imag(y)
	}
	for i, e := range energy {
		if e > energy[a.timing] {
			a.timing = int64(i)
		}
	}
	var s steadiness
	var falls dip
	var half [2]steadiness
	reversed, n := 0, 0
	for i := int(a.timing) + 2*perSymbol; i < len(f.y); i += perSymbol {
		step := f.y[i] * cmplx.Conj(f.y[i-perSymbol])
		s.add(step, 1)
		falls.add(f.y[i-perSymbol], f.y[i-perSymbol/2], f.y[i], 1)
		half[2*i/len(f.y)].add(step, 1)
		if real(step) < 0 {
			reversed++
		}
		n++
	}
	a.hz, a.steady, a.points = hz+s.hz(), s.value(), int64(len(f.y))
	seconds := float64(len(z)) / wideRate
	if a.drift = (half[1].hz() - half[0].hz()) / (seconds / 2); math.Abs(a.drift) < leastDrift || min(half[0].value(), half[1].value()) < halfSteady {
		a.drift = 0
	}
	a.noise = f.noiseAt(hz) / pulseEnergy
	return a, a.steady*a.steady*float64(n) > steadyEvidence && float64(reversed) > leastReversals*float64(n) && falls.natural()
}

// hopeless is the steadiness below which a pitch is not looked at more closely.
const hopeless = 0.2

// steadiest is the greatest steadiness of y at any timing; a pitch that is off by less than 7 Hz does it no harm.
func (f *finder) steadiest() (most float64) {
	for t := range perSymbol {
		var s steadiness
		for i := t + 2*perSymbol; i < len(f.y); i += perSymbol {
			s.add(f.y[i]*cmplx.Conj(f.y[i-perSymbol]), 1)
		}
		most = max(most, s.value())
	}
	return most
}

// filter fills y.
func (f *finder) filter(hz float64, z []complex64) {
	var g filter
	g.tune(hz)
	f.y = f.y[:len(z)/stepLength]
	for i := range f.y {
		f.y[i] = g.next(z[i*stepLength:][:stepLength])
	}
}
