package cw

import (
	"math/rand/v2"
	"testing"

	"github.com/mjibson/go-dsp/fft"
	"gonum.org/v1/gonum/dsp/fourier"
)

// The spectrum's transform against those of the libraries: why it is our own.
func BenchmarkTransform(b *testing.B) {
	rng := rand.New(rand.NewPCG(1, 2))
	var x [bins]complex64
	y, dst := make([]complex128, bins), make([]complex128, bins)
	for i := range x {
		y[i] = complex(rng.NormFloat64(), rng.NormFloat64())
		x[i] = complex64(y[i])
	}
	b.Run("own", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			z := x
			transform(&z)
		}
	})
	b.Run("gonum", func(b *testing.B) {
		b.ReportAllocs()
		f := fourier.NewCmplxFFT(bins)
		for b.Loop() {
			f.Coefficients(dst, y)
		}
	})
	b.Run("go-dsp", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			fft.FFT(y)
		}
	})
}
