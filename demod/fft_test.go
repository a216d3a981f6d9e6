package demod_test

import (
	"math"
	"math/cmplx"
	"math/rand/v2"
	"testing"

	"github.com/mjibson/go-dsp/fft"
	"gonum.org/v1/gonum/dsp/fourier"

	"ionoscribe/demod"
)

// The transforms agree with gonum's.
func TestFFT(t *testing.T) {
	for _, n := range []int{2, 4, 8, 64, 2048} {
		rng := rand.New(rand.NewPCG(1, uint64(n)))
		z, x := make([]complex64, n), make([]complex128, n)
		for i := range z {
			z[i] = complex(float32(rng.NormFloat64()), float32(rng.NormFloat64()))
			x[i] = complex128(z[i])
		}
		demod.NewFFT(n).Transform(z)
		for k, w := range fourier.NewCmplxFFT(n).Coefficients(nil, x) {
			if d := cmplx.Abs(complex128(z[k]) - w); d > 2e-6*math.Sqrt(float64(n))*math.Log2(float64(n)) {
				t.Errorf("%d: bin %d is off by %g", n, k, d)
			}
		}
	}
	const n = 256
	rng := rand.New(rand.NewPCG(2, 2))
	x, z := make([]float64, n), make([]complex64, n/2)
	for i := range x {
		x[i] = float64(float32(rng.NormFloat64()))
	}
	for i := range z {
		z[i] = complex(float32(x[2*i]), float32(x[2*i+1]))
	}
	f := demod.NewRealFFT(n)
	f.Transform(z)
	for k, w := range fourier.NewFFT(n).Coefficients(nil, x)[:n/2] {
		if p, want := float64(f.Power(z, k)), real(w)*real(w)+imag(w)*imag(w); math.Abs(p-want) > 1e-4*(want+1) {
			t.Errorf("power of bin %d: %g, want %g", k, p, want)
		}
	}
}

// The transform against those of the libraries: why it is our own.
func BenchmarkFFT(b *testing.B) {
	const n = 512
	rng := rand.New(rand.NewPCG(1, 2))
	x, z := make([]complex128, n), make([]complex64, n)
	for i := range x {
		x[i] = complex(rng.NormFloat64(), rng.NormFloat64())
	}
	b.Run("own", func(b *testing.B) {
		f := demod.NewFFT(n)
		b.ReportAllocs()
		for b.Loop() {
			for i, v := range x {
				z[i] = complex64(v)
			}
			f.Transform(z)
		}
	})
	b.Run("gonum", func(b *testing.B) {
		f, y := fourier.NewCmplxFFT(n), make([]complex128, n)
		b.ReportAllocs()
		for b.Loop() {
			f.Coefficients(y, x)
		}
	})
	b.Run("go-dsp", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			fft.FFT(x)
		}
	})
}
