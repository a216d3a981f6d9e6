package draw

import (
	"math"
	"math/cmplx"
	"math/rand/v2"
	"testing"
)

func randomVideo(n int) []complex64 {
	rng := rand.New(rand.NewPCG(3, 3))
	z := make([]complex64, n)
	phase := 0.0
	for i := range z {
		phase += 0.7 * math.Copysign(1, rng.Float64()-0.2)
		z[i] = complex64(cmplx.Rect(0.25, phase))
	}
	return z
}

// Uniform rounding to steps of peak/127 has a variance of step²/12 a component (textbook): 47 dB below a constant
// envelope at the peak.
func TestVideoKeepsSamples(t *testing.T) {
	z := randomVideo(3*pageLength + 100)
	v := new(Video)
	for i := 0; i < len(z); {
		n := min(1+i%777, len(z)-i)
		v.Append(z[i : i+n])
		i += n
	}
	if v.End() != int64(len(z)) {
		t.Fatalf("end is %d, want %d", v.End(), len(z))
	}
	got := make([]complex64, len(z))
	v.Read(got, 0)
	var rest, power float64
	for i := range z {
		d := cmplx.Abs(complex128(got[i] - z[i]))
		rest += d * d
		power += real(complex128(z[i]))*real(complex128(z[i])) + imag(complex128(z[i]))*imag(complex128(z[i]))
	}
	if db := 10 * math.Log10(power/rest); db < 46 || db > 50 {
		t.Errorf("rounding noise %.1f dB below the signal, want about 47", db)
	}
}

func TestVideoForgetsOnlyWhatItMay(t *testing.T) {
	z := randomVideo(2*pageLength + 5000)
	v := new(Video)
	v.Append(z)
	want := make([]complex64, 3000)
	v.Read(want, pageLength+2000)
	v.DropBefore(pageLength + 1000)
	if v.First() != pageLength {
		t.Errorf("first is %d after dropping, want %d", v.First(), pageLength)
	}
	w := v.After(pageLength + 1900)
	got, kept := make([]complex64, 3000), make([]complex64, 3000)
	w.Read(got, pageLength+2000)
	v.Read(kept, pageLength+2000)
	for i := range want {
		if kept[i] != want[i] {
			t.Fatalf("sample %d changed by dropping", i)
		}
		if cmplx.Abs(complex128(got[i]-want[i])) > 0.003 { // packed twice
			t.Fatalf("sample %d is %v after the cut, want %v", i, got[i], want[i])
		}
	}
	v.Read(got, 0)
	if got[0] != 0 || got[2999] != 0 {
		t.Error("dropped samples do not read as zero")
	}
	v.Read(got, v.End()-1)
	if got[1] != 0 {
		t.Error("samples after the end do not read as zero")
	}
}
