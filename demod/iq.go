package demod

import "math"

// IQReader is a source of complex samples around a radio frequency, its centre, which is 0 Hz: real parts are
// I, imaginary ones Q, and a signal f Hz above the centre turns as exp(2πjft).
//
// ReadIQ fills dst as SampleReader.ReadSamples does.
type IQReader interface {
	SampleRate() float64 // Hz, of complex samples
	ReadIQ(dst []complex64) (n int, err error)
}

// soundIQ is z, each part of which becomes 0 if it is none: see copySound.
func soundIQ(z complex64) complex64 {
	const exponent, limit = 0xff << 23, (127 + 32) << 23
	re, im := real(z), imag(z)
	if math.Float32bits(re)&exponent >= limit {
		re = 0
	}
	if math.Float32bits(im)&exponent >= limit {
		im = 0
	}
	return complex(re, im)
}

// DCBlock takes a constant offset away from complex samples, as the spur is that many receivers have at 0 Hz: the
// mean of all so far, once that is long enough fading exponentially.
type DCBlock struct {
	mean    complex128
	count   float64 // samples in the mean
	longest float64
}

// NewDCBlock makes one of a time constant in seconds for samples at rate Hz: a signal f Hz from 0 loses 3 dB where
// f = 1/(2π·seconds).
func NewDCBlock(rate, seconds float64) DCBlock { return DCBlock{longest: max(1, rate*seconds)} }

// Filter sets dst[i] to src[i] without the offset; dst may be src. What is no number counts as silence. Panics if the
// lengths differ.
func (d *DCBlock) Filter(dst, src []complex64) {
	if len(dst) != len(src) {
		panic("demod: DCBlock: lengths differ")
	}
	re, im, count := real(d.mean), imag(d.mean), d.count
	for i, z := range src {
		z = soundIQ(z)
		if count < d.longest {
			count = min(count+1, d.longest)
		}
		x, y := float64(real(z)), float64(imag(z))
		re += (x - re) / count
		im += (y - im) / count
		dst[i] = complex(float32(x-re), float32(y-im))
	}
	d.mean, d.count = complex(re, im), count
}
