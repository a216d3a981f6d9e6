package samples

import (
	"errors"
	"io"
	"math"
	"testing"
)

// fails is a signal whose reads fail after n samples.
type fails struct{ n int }

var errLost = errors.New("lost")

func (*fails) SampleRate() float64 { return 8000 }
func (f *fails) ReadSamples(dst []float32) (int, error) {
	if f.n == 0 {
		return 0, errLost
	}
	n := min(f.n, len(dst))
	clear(dst[:n])
	f.n -= n
	return n, nil
}

func TestMix(t *testing.T) {
	// A sum, sample by sample; the other signal starts 0.1 s later and ends before the first.
	other, err := Concat(Silence(8000, 0.1), &sine{rate: 8000, hz: 500, end: 2000})
	if err != nil {
		t.Fatal(err)
	}
	m, err := NewMix(&sine{rate: 8000, hz: 1000, end: 8000}, other, 0.5)
	if err != nil {
		t.Fatal(err)
	}
	x := mustRead(t, m)
	if len(x) != 8000 {
		t.Fatalf("%d samples", len(x))
	}
	for i, v := range x {
		want := math.Sin(2 * math.Pi / 8 * float64(i))
		if k := i - 800; k >= 0 && k < 2000 {
			want += 0.5 * math.Sin(2*math.Pi/16*float64(k))
		}
		if math.Abs(float64(v)-want) > 1e-6 {
			t.Fatalf("sample %d is %v, want %v", i, v, want)
		}
	}
	// A longer other signal does not prolong it.
	m, _ = NewMix(Silence(8000, 0.1), &sine{rate: 8000, hz: 1000, end: 8000}, 1)
	if n := len(mustRead(t, m)); n != 800 {
		t.Errorf("%d samples", n)
	}
	m, _ = NewMix(Silence(8000, 1), &fails{3000}, 1)
	if x, err := ReadAll(m); len(x) != 3000 || !errors.Is(err, errLost) {
		t.Errorf("a failing signal: %v after %d samples", err, len(x))
	}
	if _, err := m.ReadSamples(make([]float32, 1)); errors.Is(err, io.EOF) || err == nil {
		t.Errorf("a failed signal: %v", err)
	}
}

// 10 dB above is ten times the power, by definition.
func TestLevelGain(t *testing.T) {
	if g := LevelGain(0.5, 2, 10); math.Abs(g*g*2-5) > 1e-12 {
		t.Errorf("gain of %v", g)
	}
}

// tones is the amplitude of a signal at frequencies, over whole periods of the common one.
func tones(x []float32, rate float64, hz ...float64) []float64 {
	a := make([]float64, len(hz))
	for i, f := range hz {
		var re, im float64
		for n, v := range x {
			s, c := math.Sincos(2 * math.Pi * f * float64(n) / rate)
			re, im = re+float64(v)*c, im+float64(v)*s
		}
		a[i] = 2 * math.Hypot(re, im) / float64(len(x))
	}
	return a
}

func TestCarrier(t *testing.T) {
	c, err := NewCarrier(8000, 1234, 0.3)
	if err != nil {
		t.Fatal(err)
	}
	x := mustRead(t, NewLimit(c, 2))
	if a := tones(x, 8000, 1234)[0]; math.Abs(a-0.3) > 1e-6 {
		t.Errorf("amplitude %v", a)
	}
	if p := meanSquare(x); math.Abs(p/c.Power()-1) > 1e-5 {
		t.Errorf("power %v, said %v", p, c.Power())
	}
}

// The Fourier series of a saw-tooth has amplitudes in proportion to 1/k at k times its frequency.
func TestHum(t *testing.T) {
	for _, mains := range []float64{50, 60} {
		h, err := NewHum(12000, mains, 0.2)
		if err != nil {
			t.Fatal(err)
		}
		x := mustRead(t, NewLimit(h, 10))
		if p := meanSquare(x); math.Abs(p/h.Power()-1) > 1e-5 {
			t.Errorf("power %v, said %v", p, h.Power())
		}
		for _, n := range []float64{1, 2, 3, 4, 5, 12, 48, 50, 51, 62} {
			want := 0.0
			if n == 1 || n*mains <= 3000 && math.Mod(n, 2) == 0 {
				want = 0.2 / n
			}
			if a := tones(x, 12000, n*mains)[0]; math.Abs(a-want) > 5e-6 { // -92 dB
				t.Errorf("%v Hz: amplitude %.7f at %v Hz, want %.7f", mains, a, n*mains, want)
			}
		}
	}
}
