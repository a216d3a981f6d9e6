package demod

import (
	"math"
	"math/cmplx"
	"math/rand/v2"
	"slices"
	"testing"
)

// TestPhase against math.Atan2, over all angles and magnitudes.
func TestPhase(t *testing.T) {
	worst := 0.0
	for i := range 100_000 {
		a := math.Pi * (float64(i)/50_000 - 1)
		z := complex64(cmplx.Rect(math.Pow(10, float64(i%60)-30), a))
		d := float64(Phase(z)) - math.Atan2(float64(imag(z)), float64(real(z)))
		worst = max(worst, math.Abs(d))
	}
	t.Logf("largest error %.3g rad", worst)
	if worst > 1.2e-5 {
		t.Errorf("error of %g rad", worst)
	}
	for _, c := range []struct {
		z    complex64
		want float64
	}{{0, 0}, {1, 0}, {1i, math.Pi / 2}, {-1, math.Pi}, {-1i, -math.Pi / 2}, {1 + 1i, math.Pi / 4}, {-3 - 3i, -3 * math.Pi / 4},
		{complex(math.MaxFloat32, math.MaxFloat32), math.Pi / 4}} {
		if got := float64(Phase(c.z)); math.Abs(got-c.want) > 1.2e-5 {
			t.Errorf("Phase(%v) = %v, want %v", c.z, got, c.want)
		}
	}
}

func TestOscillator(t *testing.T) {
	const rate = 12345.678
	for _, hz := range []float64{0, 1e-7, 440, -440, 6000, -1900.123} {
		o := NewOscillator(rate, hz)
		z := make([]complex64, 1000)
		for i := range z {
			z[i] = 1
		}
		o.Mix(z, z)
		for i, v := range z {
			if want := cmplx.Rect(1, 2*math.Pi*hz/rate*float64(i)); cmplx.Abs(complex128(v)-want) > 3e-7 {
				t.Fatalf("%g Hz, sample %d: %v, want %v", hz, i, v, want)
			}
		}
		p := NewOscillator(rate, hz)
		p.JumpTo(1000)
		if p != o {
			t.Errorf("%g Hz: JumpTo(1000) is not where 1000 samples lead", hz)
		}
	}
	// A frequency of no exact quotient, a day later: 44100 samples/s make 441 a period of 100 Hz.
	o := NewOscillator(44100, 100)
	o.JumpTo(86400 * 44100)
	if d := cmplx.Abs(complex128(o.Next()) - 1); d > 3e-7 {
		t.Errorf("after a day the phase is off by %g rad", d)
	}
}

// TestFIR compares with the convolution sum, at lengths around the unrolling and with a buffer that wraps.
func TestFIR(t *testing.T) {
	x := noise(2500)
	z := make([]complex64, len(x))
	for i := range z {
		z[i] = complex(x[i], x[len(x)-1-i])
	}
	for _, taps := range []int{1, 2, 3, 4, 5, 7, 8, 9, 101} {
		h := make([]float64, taps)
		for i, v := range noise(taps) {
			h[i] = float64(v)
		}
		want := make([]complex128, len(z))
		for n := range want {
			for k := range min(taps, n+1) {
				want[n] += complex(h[k], 0) * complex128(z[n-k])
			}
		}
		f, g := NewFIR(h), NewComplexFIR(h)
		for _, size := range []int{1, 7, 479, len(x)} {
			f.Reset()
			g.Reset()
			gotF, gotG := slices.Clone(x), slices.Clone(z)
			for i := 0; i < len(x); i += size {
				end := min(i+size, len(x))
				f.Filter(gotF[i:end], gotF[i:end])
				g.Filter(gotG[i:end], gotG[i:end])
			}
			for n, w := range want {
				if math.Abs(float64(gotF[n])-real(w)) > 1e-5 || cmplx.Abs(complex128(gotG[n])-w) > 1e-5 {
					t.Fatalf("%d taps, blocks of %d, output %d: %v and %v, want %v", taps, size, n, gotF[n], gotG[n], w)
				}
			}
		}
	}
}

// gaussian fills z with complex Gaussian noise of power 1 plus a phasor of power s where on says so.
func gaussian(n int, s float64, on func(i int) bool) []complex64 {
	r := rand.New(rand.NewPCG(5, 6))
	z := make([]complex64, n)
	for i := range z {
		v := complex(r.NormFloat64(), r.NormFloat64()) * complex(math.Sqrt(0.5), 0)
		if on(i) {
			v += cmplx.Rect(math.Sqrt(s), float64(i))
		}
		z[i] = complex64(v)
	}
	return z
}

func power(z complex64) float32 { return real(z)*real(z) + imag(z)*imag(z) }

func decibels(x float64) float64 { return 10 * math.Log10(x) }

func TestMomentSNR(t *testing.T) {
	for _, s := range []float64{0.5, 2, 10, 100} {
		z := gaussian(200_000, s, func(int) bool { return true })
		var m2, m4 float64
		for _, v := range z {
			p := float64(power(v))
			m2 += p
			m4 += p * p
		}
		signal, noise := MomentSNR(len(z), m2, m4)
		if math.Abs(decibels(signal/s)) > 0.15 || math.Abs(decibels(noise)) > 0.15 {
			t.Errorf("signal %v, noise %v, want %v, 1", signal, noise, s)
		}
	}
	for _, c := range [][2]float64{{0, 0}, {10, 1}, {10, 1000}, {math.NaN(), 1}} {
		if s, n := MomentSNR(10, c[0], c[1]); s < 0 || n < 0 {
			t.Errorf("%v: %v, %v", c, s, n)
		}
	}
	if s, n := MomentSNR(0, 0, 0); s != 0 || n != 0 {
		t.Errorf("nothing gives %v, %v", s, n)
	}
}

// TestNoAllocation: once warm, no stage allocates.
func TestNoAllocation(t *testing.T) {
	b := fax(t, 12345.678)
	x := noise(1024)
	y := make([]complex64, 0, 1024)
	f, g, o := NewFIR(make([]float64, 31)), NewComplexFIR(make([]float64, 31)), NewOscillator(3600, 100)
	video := make([]float32, 1024)
	if n := testing.AllocsPerRun(100, func() {
		y = b.Append(y[:0], x)
		o.Mix(y, y)
		g.Filter(y, y)
		f.Filter(video, video)
		y = b.Flush(y[:0])
	}); n != 0 {
		t.Errorf("%v allocations a block", n)
	}
}
