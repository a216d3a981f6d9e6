package survey

import (
	"math"
	"strings"
	"testing"

	"ionoscribe/internal/decodertest"
	"ionoscribe/samples"
)

func input(t *testing.T, name string, seconds int, seed uint64) []float32 {
	t.Helper()
	for _, in := range decodertest.Inputs() {
		if in.Name == name {
			return in.Samples(t, seconds, seed)
		}
	}
	t.Fatal("no input ", name)
	return nil
}

// Whatever is heard, judging it takes no more work than its share of the time, the credit, and what is spent before it is
// known how much the last judge took.
func TestWorkIsBounded(t *testing.T) {
	const seconds, overdraft = 60, 80e3
	for _, name := range []string{"music", "keyed-carriers", "square-650Hz", "keyed-square"} {
		s, err := New(Config{SampleRate: decodertest.InputRate}, Events{})
		if err != nil {
			t.Fatal(err)
		}
		s.Write(input(t, name, seconds, 3))
		if most := workAtOnce + seconds*workSecond + overdraft; s.judging.budget.spent > most || s.judging.budget.spent < most/20 {
			t.Errorf("%s: %.0f ms, at most %.0f", name, s.judging.budget.spent/1e3, most/1e3)
		}
	}
}

// What is real has its judge while hopeless candidates use up all that they may.
func TestRealAmongHopeless(t *testing.T) {
	const begin, late = 30, 30
	r, err := samples.NewRTTY(samples.RTTYConfig{SampleRate: decodertest.InputRate, Text: strings.Repeat("NEXT REPORT AT 1800 UTC ", 20), CentreHz: 3400, Amplitude: 0.1})
	if err != nil {
		t.Fatal(err)
	}
	y, err := samples.ReadAll(r)
	if err != nil {
		t.Fatal(err)
	}
	x := input(t, "music", begin+late, 2)
	for i := range x[begin*decodertest.InputRate:] {
		x[begin*decodertest.InputRate+i] += y[i]
	}
	found := false
	s, err := New(Config{SampleRate: decodertest.InputRate}, Events{Found: func(f Finding) {
		found = found || f.Kind == "rtty" && math.Abs(f.Hz-3400) < 5
	}})
	if err != nil {
		t.Fatal(err)
	}
	s.Write(x)
	if !found {
		t.Errorf("not found within %d s", late)
	}
}

// A candidate leaves others the more, the more often judges found nothing in its place, and what was long ago counts less.
func TestMisses(t *testing.T) {
	s, err := New(Config{SampleRate: 12000}, Events{})
	if err != nil {
		t.Fatal(err)
	}
	at := func(seconds float64) { s.frames.count = int64(seconds / s.frames.hopS) }
	at(10)
	for range 3 {
		s.judging.missed(1000)
	}
	if c := s.judging.chance(1005, 0.5); math.Abs(c-0.5*math.Pow(steadyRepeat, 3)) > 1e-9 {
		t.Error("after three misses ", c)
	}
	if c := s.judging.chance(1100, 0.5); c != 0.5 {
		t.Error("elsewhere ", c)
	}
	at(10 + missSeconds)
	if c := s.judging.chance(1000, 0.5); math.Abs(c-0.5*math.Pow(steadyRepeat, 1.5)) > 0.005 {
		t.Error("after a while ", c)
	}
	for i := range 200 {
		s.judging.missed(float64(2000 + 50*i))
	}
	if c := s.judging.chance(2000+50*199, 0.5); c >= 0.5 {
		t.Error("a new miss is not remembered")
	}
	s.judging.budget.credit = 0.2 * s.judging.budget.full
	if s.judging.budget.admits(0.1, false) || !s.judging.budget.admits(0.4, false) || !s.judging.budget.admits(0.1, true) {
		t.Error("who is admitted")
	}
}

// Steady tones tell nothing of each other, however exact they are.
func TestSteadyTonesDoNotCorrelate(t *testing.T) {
	x, y := make([]float32, 1600), make([]float32, 1600)
	for i := range x {
		x[i], y[i] = 0.3, 0.2
		if i%3 == 0 {
			x[i] = math.Nextafter32(x[i], 1)
		} else {
			y[i] = math.Nextafter32(y[i], 1)
		}
	}
	if c := correlation(x, y); c != 0 {
		t.Error(c)
	}
	for i := range x {
		x[i], y[i] = float32(i/8%2), float32(1-i/8%2)
	}
	if c := correlation(x, y); c > -0.99 {
		t.Error("of keyed ones ", c)
	}
}

// A cut keeps what is in its range as it is, and nothing of what is outside, however far it is decimated.
func TestCut(t *testing.T) {
	const rate, seconds = 12000, 10
	for _, c := range []struct{ hz, low, high, tone, audioHz, want float64 }{
		{1000, 910, 1090, 1085, 1000, 1}, // an eighth of the rate
		{1000, 910, 1090, 2500 + 15, 1000, 0},
		{1500, 1300, 1700, 1690, 1700, 1},
		{1500, 1300, 1700, 1500 + 3000, 1700, 0}, // an alias
		{1900, 1140, 2660, 2600, 1900, 1},        // all samples
		{1900, 1140, 2660, 700, 1900, 0},
	} {
		r := newRing(rate, false)
		x := make([]float32, seconds*rate)
		for i := range x {
			x[i] = float32(math.Sin(2 * math.Pi * c.tone * float64(i) / rate))
		}
		r.add(x)
		audio, out := newCutter(r, rate).cut(0, seconds*rate, c.low, c.high, c.hz, c.audioHz, 0)
		power := 0.0
		audio = audio[len(audio)/4 : len(audio)*3/4]
		var at complex128
		for i, v := range audio {
			power += 2 * float64(v) * float64(v) / float64(len(audio))
			sin, cos := math.Sincos(2 * math.Pi * (c.audioHz + c.tone - c.hz) * float64(i) / out)
			at += complex(float64(v)*cos, -float64(v)*sin)
		}
		if math.Abs(math.Sqrt(power)-c.want) > 0.003 {
			t.Errorf("%+v: amplitude %.4f", c, math.Sqrt(power))
		}
		if a := 2 * math.Hypot(real(at), imag(at)) / float64(len(audio)); math.Abs(a-c.want) > 0.01 {
			t.Errorf("%+v: %.4f at its frequency", c, a)
		}
	}
}
