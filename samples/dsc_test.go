package samples_test

import (
	"math"
	"math/cmplx"
	"testing"

	"ionoscribe/rtty/dsc"
	"ionoscribe/samples"
)

// The elements of a call are tones of 1615 and 1785 Hz for 10 ms, and on VHF of 1300 and 2100 Hz for 1/1200 s, B the higher one
// (ITU-R M.493, from memory), whatever the generator thinks; the dot pattern has 200 elements, and 20 on VHF.
func TestDSCOnTheAir(t *testing.T) {
	const rate = 48000
	call, err := dsc.Parse("distress alert; from 299000001; nature sinking; position unknown; time unknown; then J3E telephone")
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		vhf, inverted bool
		baud, y, b    float64
		dots          int
	}{{false, false, 100, 1615, 1785, 200}, {false, true, 100, 1615, 1785, 200}, {true, false, 1200, 1300, 2100, 20}} {
		k, err := samples.NewDSC(samples.DSCConfig{Call: call, VHF: c.vhf, KeyedConfig: samples.KeyedConfig{SampleRate: rate, Inverted: c.inverted}})
		if err != nil {
			t.Fatal(err)
		}
		x, err := samples.ReadAll(k)
		if err != nil {
			t.Fatal(err)
		}
		want := dsc.Elements(call, c.dots)
		element := rate / c.baud
		if len(x) != int(math.Ceil(float64(len(want))*element)) {
			t.Fatalf("%+v: %d samples", c, len(x))
		}
		for i, isB := range want {
			power := func(hz float64) float64 {
				var sum complex128
				for n := int(float64(i) * element); n < int(float64(i+1)*element); n++ {
					sum += complex(float64(x[n]), 0) * cmplx.Rect(1, -2*math.Pi*hz*float64(n)/rate)
				}
				return cmplx.Abs(sum)
			}
			if power(c.b) > power(c.y) != (isB != c.inverted) {
				t.Fatalf("%+v: element %d", c, i)
			}
		}
	}
}
