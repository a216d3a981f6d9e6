package samples

import (
	"math"
	"math/cmplx"
	"testing"
)

// The taps must have the response of the shape: at the edge, and at twice its frequency. What is to be is from the
// formulas of each shape: Butterworth 1/√(1+f^2n) (Oppenheim and Schafer); Bessel with 3 dB at the edge, of order 2 from
// |3/(s²+3s+3)|, s = 1.3617jf, of order 4 from |105/(s⁴+10s³+45s²+105s+105)|, s = 2.1139jf (Thomson 1949).
func TestVideoFilterResponse(t *testing.T) {
	const rate, edge = 12000.0, 1100.0
	butterworth := func(n, f float64) float64 { return 1 / math.Sqrt(1+math.Pow(f, 2*n)) }
	bessel2 := func(f float64) float64 {
		s := complex(0, 1.3617*f)
		return cmplx.Abs(3 / (s*s + 3*s + 3))
	}
	bessel4 := func(f float64) float64 {
		s := complex(0, 2.1139*f)
		return cmplx.Abs(105 / (s*s*s*s + 10*s*s*s + 45*s*s + 105*s + 105))
	}
	for _, shape := range VideoShapes() {
		h, err := VideoFilter{Shape: shape, Hz: edge}.taps(rate)
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range []float64{0, 0.5, 1, 2} {
			want := map[string]float64{
				"gaussian": math.Pow(0.5, f*f/2), "raised-cosine": map[float64]float64{0: 1, 0.5: 1, 1: 0.5, 2: 0}[f],
				"bessel2": bessel2(f), "bessel4": bessel4(f),
				"butterworth2": butterworth(2, f), "butterworth4": butterworth(4, f), "butterworth6": butterworth(6, f),
			}[shape]
			var got complex128
			for i, c := range h {
				got += complex(c, 0) * cmplx.Rect(1, -2*math.Pi*f*edge/rate*float64(i-len(h)/2))
			}
			if math.Abs(cmplx.Abs(got)-want) > 0.003 {
				t.Errorf("%s at %g of its edge: %.4f, want %.4f", shape, f, cmplx.Abs(got), want)
			}
		}
		// No delay at low frequencies: the middle of the response is its middle tap.
		middle := 0.0
		for i, c := range h {
			middle += c * float64(i-len(h)/2)
		}
		if math.Abs(middle) > 0.05 {
			t.Errorf("%s is late by %.2f samples", shape, middle)
		}
	}
}

// A filter that is nearly open changes next to nothing, and the signal keeps its length and its level.
func TestVideoFilterOfASignal(t *testing.T) {
	m := plain(1810, 4, 255)
	for i := range m.Pix {
		m.Pix[i] = uint8(255 * (i / 7 % 2))
	}
	read := func(v VideoFilter) []float32 {
		f, err := NewFax(FaxConfig{Picture: m, Video: v, StartSeconds: 1, PhasingSeconds: 2, StopSeconds: -1, BlackSeconds: -1})
		if err != nil {
			t.Fatal(err)
		}
		x, err := ReadAll(f)
		if err != nil {
			t.Fatal(err)
		}
		return x
	}
	plain, filtered := read(VideoFilter{}), read(VideoFilter{Shape: "gaussian", Hz: 3000})
	if len(plain) != len(filtered) {
		t.Fatalf("%d samples, %d with a filter", len(plain), len(filtered))
	}
	var cross, power float64
	for i, v := range plain {
		cross += float64(v) * float64(filtered[i])
		power += float64(v) * float64(v)
	}
	if cross < 0.97*power {
		t.Errorf("correlation with the signal without a filter is %.3f", cross/power)
	}
	for _, bad := range []VideoFilter{{"gaussian", 10}, {"gaussian", 5000}, {"square", 1000}, {"", 1000}, {"gaussian", math.NaN()}} {
		if _, err := NewFax(FaxConfig{Picture: m, Video: bad}); err == nil {
			t.Errorf("%v was taken", bad)
		}
	}
}
