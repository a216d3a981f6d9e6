package draw

import "gonum.org/v1/gonum/dsp/fourier"

// shortSpectra transforms spectrumLength samples at a time, and back.
type shortSpectra struct {
	fft  *fourier.CmplxFFT
	x, y []complex128
}

func newShortSpectra() *shortSpectra {
	return &shortSpectra{fourier.NewCmplxFFT(spectrumLength), make([]complex128, spectrumLength), make([]complex128, spectrumLength)}
}

// of is the spectrum of z within a Hann window, until the next is asked.
func (s *shortSpectra) of(z []complex64) []complex128 {
	for i, c := range z {
		s.x[i] = complex(float64(real(c))*hann[i], float64(imag(c))*hann[i])
	}
	return s.fft.Coefficients(s.y, s.x)
}

// back is what has a spectrum, until the next is asked, times spectrumLength.
func (s *shortSpectra) back(y []complex128) []complex128 { return s.fft.Sequence(s.x, y) }
