package samples_test

import (
	"math"
	"math/cmplx"
	"testing"

	"ionoscribe/rtty/modeb"
	"ionoscribe/samples"
)

// The elements of mode B are tones of 1615 and 1785 Hz for 10 ms, B the higher one (ITU-R M.476-5, from memory), the first element
// first: measured by the angle between samples, whatever the generator thinks.
func TestModeBOnTheAir(t *testing.T) {
	const rate = 12000
	codes := []modeb.Code{modeb.LettersShift, modeb.RQ, modeb.Space}
	for _, inverted := range []bool{false, true} {
		for _, turn := range []float64{0, 0.5} {
			s, err := samples.NewModeB(samples.ModeBConfig{Codes: codes, PhasingSeconds: -1, IdleSeconds: 0.42,
				KeyedConfig: samples.KeyedConfig{SampleRate: rate, Inverted: inverted, TurnElements: turn}})
			if err != nil {
				t.Fatal(err)
			}
			x, err := samples.ReadAll(s)
			if err != nil {
				t.Fatal(err)
			}
			want := modeb.Sendings(codes, 0, 3, false)
			if len(x) != len(want)*7*rate/100 {
				t.Fatalf("%d samples", len(x))
			}
			for i, c := range want {
				for k := range modeb.Units {
					// Which tone has more power in the middle half of the element.
					at := (i*7 + k) * 120
					power := func(hz float64) float64 {
						var sum complex128
						for n := at + 30; n < at+90; n++ {
							sum += complex(float64(x[n]), 0) * cmplx.Rect(1, -2*math.Pi*hz*float64(n)/rate)
						}
						return cmplx.Abs(sum)
					}
					if b := power(1785) > power(1615); b != (c>>k&1 == 1) != inverted {
						t.Fatalf("inverted %v: character %d, element %d of %v", inverted, i, k, c)
					}
				}
			}
			if p := mean(x); math.Abs(p-s.Power()) > 0.01*s.Power() {
				t.Errorf("power %v, said to be %v", p, s.Power())
			}
		}
	}
}

func mean(x []float32) (p float64) {
	for _, v := range x {
		p += float64(v) * float64(v) / float64(len(x))
	}
	return p
}

// 99 % of the power of a random text are within the necessary bandwidth of 304 Hz of F1B at 100 Bd and 170 Hz (ITU-R SM.1138-3).
func TestModeBBandwidth(t *testing.T) {
	const rate = 6000
	var codes []modeb.Code
	for c, i := modeb.Code(1), 0; i < 400; c = (c*5 + 3) & 127 {
		if c.Legal() {
			codes = append(codes, c)
		}
		i++
	}
	s, err := samples.NewModeB(samples.ModeBConfig{Codes: codes, KeyedConfig: samples.KeyedConfig{SampleRate: rate}})
	if err != nil {
		t.Fatal(err)
	}
	x, err := samples.ReadAll(s)
	if err != nil {
		t.Fatal(err)
	}
	const n = 8192
	inside, all := 0.0, 0.0
	for k := 0; k < n/2; k += 1 {
		hz := float64(k) * rate / n
		if hz < 700 || hz > 2700 {
			continue
		}
		var sum complex128
		for i := range n {
			w := 0.5 - 0.5*math.Cos(2*math.Pi*float64(i)/n)
			sum += complex(w*float64(x[i]), 0) * cmplx.Rect(1, -2*math.Pi*hz*float64(i)/rate)
		}
		p := real(sum)*real(sum) + imag(sum)*imag(sum)
		all += p
		if math.Abs(hz-1700) <= 152 {
			inside += p
		}
	}
	if share := inside / all; share < 0.99 {
		t.Errorf("%.1f %% of the power within 304 Hz", 100*share)
	}
}
