package survey

import "math"

// meanSpectrum sums the densities of a range of bins over the frames in which a track is there.
type meanSpectrum struct {
	of     *frames
	low    int       // the bin of the first sum
	sum    []float64 // densities
	frames float64
	noise  float64 // density, which is no part of the track
}

func newMeanSpectrum(f *frames, lowHz, highHz, noise float64) meanSpectrum {
	low, high := f.bin(lowHz), f.bin(highHz)
	return meanSpectrum{of: f, low: low, sum: make([]float64, high-low+1), noise: noise}
}

// add takes some frames.
func (m *meanSpectrum) add(from, to int64) {
	for k := from; k < to; k++ {
		for i, v := range m.of.of(k)[m.low : m.low+len(m.sum)] {
			m.sum[i] += float64(v)
		}
		m.frames++
	}
}

// hz is the frequency of a sum.
func (m *meanSpectrum) hz(i int) float64 { return m.of.hz(float64(m.low + i)) }

// over is what a sum has over the noise.
func (m *meanSpectrum) over(v float64) float64 { return v - m.noise*m.frames }

// top is the greatest density.
func (m *meanSpectrum) top() (top float64) {
	for _, v := range m.sum {
		top = max(top, v/max(m.frames, 1))
	}
	return top
}

// within sums what is over the noise between two frequencies.
func (m *meanSpectrum) within(low, high float64) (sum float64) {
	for i, v := range m.sum {
		if h := m.hz(i); h >= low && h <= high {
			sum += m.over(v)
		}
	}
	return sum
}

// mean is the mean density of some bins over the noise.
func (m *meanSpectrum) mean(p spot) float64 {
	sum := 0.0
	for i := p.low; i <= p.high; i++ {
		if k := i - m.low; k >= 0 && k < len(m.sum) {
			sum += m.sum[k]
		}
	}
	return sum/max(m.frames, 1)/float64(p.high-p.low+1) - m.noise
}

// at is what is over the noise at a frequency between bins.
func (m *meanSpectrum) at(hz float64) float64 {
	x := hz/m.of.binHz - float64(m.of.lowBin) - float64(m.low)
	i := int(math.Floor(x))
	if i < 0 || i+1 >= len(m.sum) {
		return 0
	}
	part := x - float64(i)
	return max(m.over(m.sum[i]*(1-part)+m.sum[i+1]*part), 0)
}

// peak is the frequency of the steady tone that is the strongest near one.
func (m *meanSpectrum) peak(hz, reach float64) float64 {
	best := 0
	for i := range m.sum {
		if math.Abs(m.hz(i)-hz) <= reach && (m.sum[i] > m.sum[best] || best == 0) {
			best = i
		}
	}
	if best < 1 || best > len(m.sum)-2 {
		return hz
	}
	v := m.sum
	return m.of.hz(float64(m.low+best) + hannVertex(v[best-1], v[best], v[best+1]))
}

// hannVertex is where between the bins a steady tone is, by the ratio of the amplitudes in the two greatest ones, which
// with a Hann window is (1+d)/(2-d) at a distance d from the greater one (from the window's transform).
func hannVertex(a, b, c float64) float64 {
	side, sign := c, 1.0
	if a > c {
		side, sign = a, -1
	}
	r := math.Sqrt(side / (b + tiny))
	return sign * min(max((2*r-1)/(r+1), -0.5), 0.5)
}

// centroid is the mean frequency of what is over the noise within reach of a frequency.
func (m *meanSpectrum) centroid(hz, reach float64) float64 {
	sum, weight := 0.0, 0.0
	for i, v := range m.sum {
		h := m.hz(i)
		if math.Abs(h-hz) <= reach {
			p := max(m.over(v), 0)
			sum += p * (h - hz)
			weight += p
		}
	}
	if weight == 0 {
		return hz
	}
	return hz + sum/weight
}

const (
	snrHz              = 2500.0 // of noise that an SNR is told of
	lowestSNR, highest = -60.0, 120.0
	// tiny keeps quotients and logarithms of silence finite; densities of 16-bit samples are above 1e-16.
	tiny = 1e-35
)

// snr is the power between two frequencies over that of the noise, in dB.
func (m *meanSpectrum) snr(low, high float64) float64 {
	mean := m.within(low, high) / max(m.frames, 1) * m.of.binHz
	return min(max(10*math.Log10((max(mean, 0)+tiny)/(m.noise*snrHz+tiny)), lowestSNR), highest)
}
