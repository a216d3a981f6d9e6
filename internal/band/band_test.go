package band

import (
	"cmp"
	"errors"
	"io"
	"math"
	"math/cmplx"
	"reflect"
	"slices"
	"testing"

	"ionoscribe/cw"
	"ionoscribe/demod"
	"ionoscribe/internal/theory"
	"ionoscribe/rtty"
)

var busy = Config{SampleRate: 96000, Seconds: 120, Morse: 10, Teleprinter: 3, Fax: 1, LowestSNR: 10, HighestSNR: 25, Seed: 1}

func newPlan(t testing.TB, c Config) *Plan {
	t.Helper()
	p, err := New(c)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func TestPlan(t *testing.T) {
	count := map[string]int{}
	for seed := range uint64(20) {
		c := busy
		c.Seed = seed
		p := newPlan(t, c)
		if !reflect.DeepEqual(p, newPlan(t, c)) {
			t.Errorf("seed %d: two plans differ", seed)
		}
		for i, x := range p.Transmissions {
			count[x.Kind]++
			if x.StartSeconds < 2 || x.EndSeconds > p.Seconds || x.EndSeconds < 0.6*p.Seconds || x.SNR < 10 || x.SNR > 25 {
				t.Errorf("seed %d: %+v", seed, x)
			}
			if math.Abs(x.Hz)+room[x.Kind] > 0.45*96000+0.1 {
				t.Errorf("seed %d: %g Hz is at the edge", seed, x.Hz)
			}
			if i > 0 && x.Hz-p.Transmissions[i-1].Hz < room[x.Kind]+room[p.Transmissions[i-1].Kind]-0.1 {
				t.Errorf("seed %d: %g Hz is too near to %g Hz", seed, x.Hz, p.Transmissions[i-1].Hz)
			}
		}
	}
	if count[Morse] != 200 || count[Teleprinter] != 60 || count[Fax] != 20 {
		t.Error(count)
	}
}

func TestPlanErrors(t *testing.T) {
	for _, change := range []func(*Config){
		func(c *Config) { c.SampleRate = 0 }, func(c *Config) { c.SampleRate = math.NaN() }, func(c *Config) { c.Seconds = 1 },
		func(c *Config) { c.Morse = -1 }, func(c *Config) { c.Fax = 101 }, func(c *Config) { c.LowestSNR = 30 },
		func(c *Config) { c.Fax = 30 }, func(c *Config) { c.Seconds = 60 },
	} {
		c := busy
		change(&c)
		if _, err := New(c); err == nil {
			t.Errorf("%+v: no error", c)
		}
	}
}

// The spectrum has each transmission at its frequency and nowhere else; a teleprinter and Morse are copied from a tuner,
// and no peak is beyond full scale.
func TestScene(t *testing.T) {
	p := newPlan(t, Config{SampleRate: 48000, Seconds: 60, Morse: 3, Teleprinter: 1, LowestSNR: 15, HighestSNR: 20, Seed: 3})
	s, err := p.Scene()
	if err != nil {
		t.Fatal(err)
	}
	var z []complex64
	buf := make([]complex64, 10000)
	for err == nil {
		var n int
		n, err = s.ReadIQ(buf)
		z = append(z, buf[:n]...)
	}
	if !errors.Is(err, io.EOF) || len(z) != 60*48000 {
		t.Fatalf("%d samples, %v", len(z), err)
	}
	peak := slices.MaxFunc(z, func(a, b complex64) int { return cmp.Compare(cmplx.Abs(complex128(a)), cmplx.Abs(complex128(b))) })
	if a := cmplx.Abs(complex128(peak)); a > 1 || a < 0.3 {
		t.Errorf("peak of %g", a)
	}
	for _, x := range p.Transmissions {
		tuner, err := demod.NewTuner(demod.TunerConfig{SampleRate: p.SampleRate, DialHz: x.Hz - 1000})
		if err != nil {
			t.Fatal(err)
		}
		heard := tuner.Flush(tuner.Append(nil, z))
		var got []rune
		if x.Kind == Morse {
			d, err := cw.New(cw.Config{SampleRate: demod.TunerRate, PitchHz: 1000}, cw.Events{Char: func(c cw.Char) { got = append(got, []rune(c.Text)...) }})
			if err != nil {
				t.Fatal(err)
			}
			d.Write(heard)
			d.Flush()
		} else {
			d, err := rtty.New(rtty.Config{SampleRate: demod.TunerRate, CentreHz: 1000}, rtty.Events{Char: func(c rtty.Char) { got = append(got, c.Rune) }})
			if err != nil {
				t.Fatal(err)
			}
			d.Write(heard)
			d.Flush()
		}
		sent := []rune(x.Text)
		if e := theory.Distance(trim(got), trim(sent)); float64(e) > 0.02*float64(len(sent)) {
			t.Errorf("%s at %g Hz: %d errors: %q, sent %q", x.Kind, x.Hz, e, string(got), x.Text)
		}
	}
}

// trim leaves out white space, of which there may be more or less.
func trim(r []rune) []rune {
	return slices.DeleteFunc(slices.Clone(r), func(c rune) bool { return c <= ' ' })
}
