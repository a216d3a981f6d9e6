package samples

import (
	"errors"
	"io"
	"math"
	"math/cmplx"
	"testing"

	"ionoscribe/psk"
)

func readPSK31(t *testing.T, c PSK31Config) (*PSK31, []float32) {
	t.Helper()
	p, err := NewPSK31(c)
	if err != nil {
		t.Fatal(err)
	}
	var x []float32
	block := make([]float32, 1000)
	for {
		n, err := p.ReadSamples(block)
		x = append(x, block[:n]...)
		if errors.Is(err, io.EOF) {
			return p, x
		}
	}
}

// The signal is brought to baseband where it was sent, each symbol's phase is measured for itself, and the text is read from the turns.
func TestPSK31Text(t *testing.T) {
	const text = "gale warning: SW 8 backing S 9 ~"
	for name, c := range map[string]PSK31Config{
		"BPSK":     {},
		"drift":    {PitchHz: 700, DriftHzPerSecond: 1, BaudErrorPercent: 0.5},
		"QPSK":     {QPSK: true, PitchHz: 1500},
		"inverted": {QPSK: true, Inverted: true},
	} {
		t.Run(name, func(t *testing.T) {
			c.SampleRate, c.Text = 12000, text
			p, x := readPSK31(t, c)
			var power float64
			for _, v := range x {
				power += float64(v) * float64(v) / float64(len(x))
			}
			if math.Abs(power/p.Power()-1) > 0.01 {
				t.Errorf("power %v, want %v", power, p.Power())
			}
			symbol := 12000 / (psk.Baud * (1 + c.BaudErrorPercent/100))
			pitch := c.PitchHz
			if pitch == 0 {
				pitch = DefaultPSK31PitchHz
			}
			var likely [][4]float64
			var before complex128
			for k := 0; ; k++ {
				var z complex128 // over the quarter symbol at each side of the symbol's middle
				from, to := int((float64(k)-0.25)*symbol), int((float64(k)+0.25)*symbol)
				if to > len(x) {
					break
				}
				for n := max(from, 0); n < to; n++ {
					s := float64(n) / 12000
					z += complex(float64(x[n]), 0) * cmplx.Rect(1, -2*math.Pi*s*(pitch+c.DriftHzPerSecond*s/2))
				}
				if k > 0 {
					turn := z * cmplx.Conj(before)
					if c.Inverted {
						turn = cmplx.Conj(turn)
					}
					var l [4]float64
					for q := range l {
						l[q] = real(turn * cmplx.Rect(1, -math.Pi/2*float64(q)))
					}
					likely = append(likely, l)
				}
				before = z
			}
			var bits []bool
			if c.QPSK {
				bits = psk.Viterbi(likely)
			} else {
				for _, l := range likely {
					bits = append(bits, l[0] > l[2])
				}
			}
			var u psk.Unpacker
			var got []byte
			for _, bit := range bits {
				if r, ok := u.Next(bit); ok {
					got = append(got, r)
				}
			}
			if string(got) != text {
				t.Errorf("%q", string(got))
			}
		})
	}
}

func TestPSK31Refused(t *testing.T) {
	for name, c := range map[string]PSK31Config{
		"pitch": {Text: "a", PitchHz: 10}, "drift": {Text: "a", DriftHzPerSecond: math.NaN()}, "rate": {Text: "a", BaudErrorPercent: 2},
		"letter": {Text: "Ж"}, "set": {Text: "a", Charset: "morse"}, "amplitude": {Text: "a", Amplitude: 2}, "nothing": {IdleSeconds: -1}, "idle": {IdleSeconds: 1e9},
	} {
		if _, err := NewPSK31(c); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
}
