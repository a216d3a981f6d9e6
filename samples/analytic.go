package samples

import (
	"math"

	"ionoscribe/demod"
)

// analytic makes the analytic signal x + i·H(x) of real samples, so that a path can turn its phase. H is a Hilbert
// transformer; it is computed with look-ahead, so that nothing is delayed.
//
// The ideal transformer is h[m] = 2/(πm) for odd m and 0 for even m (Oppenheim and Schafer, Discrete-Time Signal
// Processing, section on discrete Hilbert transforms); it is cut by a Kaiser window. Its errors are below -60 dB
// from analyticEdgeHz to as far below half the sample rate.
type analytic struct {
	src  demod.SampleReader
	taps []float32 // of x[n+2j+1], j from -len/2

	// Only samples an odd distance away count, so even and odd ones are kept apart: x[i] is half[i&1][i>>1-first].
	half  [2][]float32
	first int64
	n     int64 // next output sample
	have  int64 // samples read
	block []float32
	err   error // that ended the input
}

const (
	analyticEdgeHz = 150.0
	analyticDB     = 60.0
	analyticBlock  = 1024 // samples read at a time
)

func newAnalytic(src demod.SampleReader) *analytic {
	// Kaiser (1974): length from the transition, which spans both sides of zero frequency, and beta from the
	// attenuation.
	width := 2 * math.Pi * 2 * analyticEdgeHz / src.SampleRate()
	k := int(math.Ceil(((analyticDB-8)/(2.285*width) + 1) / 4))
	beta := 0.1102 * (analyticDB - 8.7)
	a := &analytic{src: src, taps: make([]float32, 2*k), block: make([]float32, analyticBlock)}
	for i := range a.taps {
		m := float64(2*(i-k) + 1)
		r := m / float64(2*k)
		a.taps[i] = float32(-2 / (math.Pi * m) * bessel0(beta*math.Sqrt(1-r*r)) / bessel0(beta))
	}
	for i := range a.half { // silence before the first sample
		a.half[i] = make([]float32, k, 3*k+2*analyticBlock)
	}
	a.first = -int64(k)
	return a
}

// read sets re and im, of equal length, to the next samples of the analytic signal and returns how many. It ends
// where the source does.
func (a *analytic) read(re, im []float32) (int, error) {
	k := int64(len(a.taps) / 2)
	for a.err == nil && a.have < a.n+2*k+1 {
		a.fill()
	}
	count := min(int64(len(re)), a.have-a.n)
	if a.err == nil {
		count = min(count, a.have-a.n-2*k)
	}
	if count <= 0 {
		return 0, a.err
	}
	for i := range count {
		n := a.n + i
		re[i] = a.half[n&1][n>>1-a.first]
		w := a.half[(n+1)&1][(n+1)>>1-k-a.first:][:len(a.taps)]
		var sum float32
		for j, c := range a.taps {
			sum += c * w[j]
		}
		im[i] = sum
	}
	a.n += count
	return int(count), nil
}

// fill drops what is no longer needed and reads more; silence follows the last sample.
func (a *analytic) fill() {
	k := int64(len(a.taps) / 2)
	if drop := a.n>>1 - k - a.first; drop > analyticBlock {
		for i, h := range a.half {
			a.half[i] = h[:copy(h, h[drop:])]
		}
		a.first += drop
	}
	n, err := readSome(a.src, a.block)
	for _, v := range a.block[:n] {
		a.half[a.have&1] = append(a.half[a.have&1], v)
		a.have++
	}
	if err != nil {
		a.err = err
		for i, h := range a.half {
			a.half[i] = append(h, make([]float32, k+1)...)
		}
	}
}
