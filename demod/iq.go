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
