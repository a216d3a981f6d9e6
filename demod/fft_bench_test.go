package demod

import (
	"math/rand/v2"
	"testing"

	"github.com/mjibson/go-dsp/fft"
	"gonum.org/v1/gonum/dsp/fourier"
)

// FFT against the transforms of the libraries, on the length of a spectrum in package cw.
func BenchmarkFFT(b *testing.B) {
	const n = 512
	rng := rand.New(rand.NewPCG(1, 2))
	x, z := make([]complex64, n), make([]complex64, n)
	y, dst := make([]complex128, n), make([]complex128, n)
	for i := range x {
		y[i] = complex(rng.NormFloat64(), rng.NormFloat64())
		x[i] = complex64(y[i])
	}
	b.Run("own", func(b *testing.B) {
		b.ReportAllocs()
		f := NewFFT(n)
		for b.Loop() {
			copy(z, x)
			f.Transform(z)
		}
	})
	b.Run("gonum", func(b *testing.B) {
		b.ReportAllocs()
		f := fourier.NewCmplxFFT(n)
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
