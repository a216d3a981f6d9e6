package samples

import (
	"fmt"
	"math"
	"math/cmplx"
	"strings"
)

// VideoFilter is the low-pass through which a transmitter sends the brightness before it becomes a frequency. Its
// delay at low frequencies is left out: a transmitter keeps to its own time. The zero value lets all through.
type VideoFilter struct {
	Shape string  // one of VideoShapes
	Hz    float64 // its edge, where it has the loss that belongs to the shape
}

// videoShape is the response of a low-pass over frequency in units of its edge.
type videoShape struct {
	name string
	at   func(f float64) complex128
}

// The edge is where the response is 3 dB down, of the raised cosine 6 dB.
var videoShapes = []videoShape{
	{"gaussian", func(f float64) complex128 { return complex(math.Exp(-math.Ln2/2*f*f), 0) }},
	{"bessel2", besselAt(2)},
	{"bessel4", besselAt(4)},
	{"butterworth2", butterworthAt(2)},
	{"butterworth4", butterworthAt(4)},
	{"butterworth6", butterworthAt(6)},
	{"raised-cosine", raisedCosineAt(0.5)},
}

// VideoShapes are the shapes of a VideoFilter by name; the digit is the order.
func VideoShapes() (names []string) {
	for _, s := range videoShapes {
		names = append(names, s.name)
	}
	return names
}

// butterworthAt has its poles evenly on the left half of the unit circle (Oppenheim and Schafer, Discrete-Time Signal
// Processing, appendix on continuous-time filters).
func butterworthAt(order int) func(f float64) complex128 {
	return func(f float64) complex128 {
		h := complex(1, 0)
		for k := range order {
			pole := cmplx.Rect(1, math.Pi/2+math.Pi*(2*float64(k)+1)/(2*float64(order)))
			h *= -pole / (complex(0, f) - pole)
		}
		return h
	}
}

// besselAt is θ(0)/θ(s) of the reverse Bessel polynomial θ, whose coefficient of s^k is (2n-k)!/(2^(n-k)·k!·(n-k)!)
// (Thomson, Proceedings of the IEE 96, 1949), with frequency scaled so that the edge is 3 dB down.
func besselAt(order int) func(f float64) complex128 {
	factorial := func(n int) float64 { return math.Gamma(float64(n) + 1) }
	theta := func(s complex128) (sum complex128) {
		for k := order; k >= 0; k-- {
			c := factorial(2*order-k) / (math.Exp2(float64(order-k)) * factorial(k) * factorial(order-k))
			sum = sum*s + complex(c, 0)
		}
		return sum
	}
	at := func(w float64) complex128 { return theta(0) / theta(complex(0, w)) }
	low, high := 0.0, 10.0
	for high-low > 1e-9 {
		if w := (low + high) / 2; cmplx.Abs(at(w)) > math.Sqrt(0.5) {
			low = w
		} else {
			high = w
		}
	}
	return func(f float64) complex128 { return at(f * low) }
}

// raisedCosineAt falls from 1 to 0 between 1-rolloff and 1+rolloff.
func raisedCosineAt(rolloff float64) func(f float64) complex128 {
	return func(f float64) complex128 {
		t := min(max((math.Abs(f)-1+rolloff)/(2*rolloff), 0), 1)
		return complex(0.5+0.5*math.Cos(math.Pi*t), 0)
	}
}

// lowestVideoHz keeps the filter short.
const lowestVideoHz = 100.0

// taps is the filter at a sample rate, as many of them before the present as behind it; nil if all goes through.
func (v VideoFilter) taps(rate float64) ([]float64, error) {
	if v == (VideoFilter{}) {
		return nil, nil
	}
	if !(v.Hz >= lowestVideoHz && v.Hz <= rate/4) {
		return nil, fmt.Errorf("edge of the video filter %v Hz is not within %v Hz and a quarter of the sample rate, %v Hz", v.Hz, lowestVideoHz, rate/4)
	}
	for _, s := range videoShapes {
		if s.name == v.Shape {
			return s.taps(v.Hz / rate), nil
		}
	}
	return nil, fmt.Errorf("shape of the video filter %q is none of %s", v.Shape, strings.Join(VideoShapes(), ", "))
}

// taps samples the impulse response: the inverse Fourier transform of the response up to half the sample rate, moved
// forward by its delay at low frequencies. edge is a share of the sample rate.
func (s videoShape) taps(edge float64) []float64 {
	const periods = 8 // of the edge to each side: a Butterworth filter of order 6 has rung down to 1e-4
	half := int(math.Ceil(periods / edge))
	const bins = 4 // a tap: the transform's period must exceed the response
	n := bins * 2 * half
	delay := -cmplx.Phase(s.at(1e-3)) / (2 * math.Pi * 1e-3 * edge) // samples
	h := make([]float64, 2*half+1)
	sum := 0.0
	for i := range h {
		for k := range n/2 + 1 {
			f := float64(k) / float64(n)
			weight := 2.0
			if k == 0 || k == n/2 {
				weight = 1
			}
			h[i] += weight * real(s.at(f/edge)*cmplx.Rect(1, 2*math.Pi*f*(float64(i-half)+delay)))
		}
		sum += h[i]
	}
	for i := range h {
		h[i] /= sum
	}
	return h
}

// videoDelay filters a stream of values with taps, each value coming out with as many behind it as before it.
type videoDelay struct {
	taps []float64
	past []float64 // the last len(taps) values, twice, so that they are one slice from any place
	at   int
}

// newVideoDelay begins with the values of next, as if the first one had always been there.
func newVideoDelay(taps []float64, next func() float64) *videoDelay {
	d := &videoDelay{taps: taps, past: make([]float64, 2*len(taps))}
	first := next()
	for i := range d.past {
		d.past[i] = first
	}
	for range len(taps) / 2 {
		d.put(next())
	}
	return d
}

func (d *videoDelay) put(v float64) {
	d.past[d.at], d.past[d.at+len(d.taps)] = v, v
	d.at = (d.at + 1) % len(d.taps)
}

// out is the filtered value in the middle of what was put, the oldest being first.
func (d *videoDelay) out() (sum float64) {
	w := d.past[d.at:][:len(d.taps)]
	for i, h := range d.taps { // the newest value meets the tap farthest in the future
		sum += h * w[len(w)-1-i]
	}
	return sum
}
