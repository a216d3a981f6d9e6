package band

import (
	"cmp"
	"encoding/json"
	"errors"
	"io"
	"maps"
	"math"
	"math/cmplx"
	"reflect"
	"slices"
	"testing"

	"ionoscribe/cw"
	"ionoscribe/demod"
	"ionoscribe/internal/nearest"
	"ionoscribe/rtty"
)

// busy is a band with so many of each mode.
func busy(morse, teleprinters, charts int) Config {
	return Config{SampleRate: 96000, Seconds: 120, Count: map[string]int{"cw": morse, "rtty": teleprinters, "fax": charts},
		LowestSNR: 10, HighestSNR: 25, Seed: 1}
}

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
		c := busy(10, 3, 1)
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
			if math.Abs(x.Hz)+x.mode.RoomHz > 0.45*96000+0.1 {
				t.Errorf("seed %d: %g Hz is at the edge", seed, x.Hz)
			}
			if i > 0 && x.Hz-p.Transmissions[i-1].Hz < x.mode.RoomHz+p.Transmissions[i-1].mode.RoomHz-0.1 {
				t.Errorf("seed %d: %g Hz is too near to %g Hz", seed, x.Hz, p.Transmissions[i-1].Hz)
			}
		}
	}
	if count["cw"] != 200 || count["rtty"] != 60 || count["fax"] != 20 {
		t.Error(count)
	}
}

func TestPlanErrors(t *testing.T) {
	for _, change := range []func(*Config){
		func(c *Config) { c.SampleRate = 0 }, func(c *Config) { c.SampleRate = math.NaN() }, func(c *Config) { c.Seconds = 1 },
		func(c *Config) { c.Count["cw"] = -1 }, func(c *Config) { c.Count["fax"] = 101 }, func(c *Config) { c.Count["toy"] = 1 }, func(c *Config) { c.LowestSNR = 30 },
		func(c *Config) { c.Count["fax"] = 30 }, func(c *Config) { c.Seconds, c.Count["fax"] = 60, 10 }, // some of them take longer
	} {
		c := busy(10, 3, 1)
		change(&c)
		if _, err := New(c); err == nil {
			t.Errorf("%+v: no error", c)
		}
	}
}

// A list has the keys of each mode's settings.
func TestList(t *testing.T) {
	b, err := json.Marshal(newPlan(t, busy(1, 1, 1)))
	if err != nil {
		t.Fatal(err)
	}
	var list struct {
		Transmissions []map[string]any
	}
	if err := json.Unmarshal(b, &list); err != nil {
		t.Fatal(err)
	}
	own := map[string][]string{"cw": {"wpm", "text"}, "rtty": {"baud", "shift_hz", "mark", "alphabet", "text"}, "fax": {"lpm", "ioc", "lines"}}
	for _, x := range list.Transmissions {
		keys := append(own[x["kind"].(string)], "kind", "hz", "start_seconds", "end_seconds", "snr_db")
		slices.Sort(keys)
		if got := slices.Sorted(maps.Keys(x)); !slices.Equal(got, keys) {
			t.Errorf("%s has %v", x["kind"], got)
		}
	}
}

// The spectrum has each transmission at its frequency and nowhere else; a teleprinter and Morse are copied from a tuner,
// and no peak is beyond full scale.
func TestScene(t *testing.T) {
	c := busy(3, 1, 0)
	c.SampleRate, c.Seconds, c.LowestSNR, c.HighestSNR, c.Seed = 48000, 60, 15, 20, 3
	p := newPlan(t, c)
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
		if x.Kind == "cw" {
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
		if e := nearest.Distance(trim(got), trim(sent)); float64(e) > 0.02*float64(len(sent)) {
			t.Errorf("%s at %g Hz: %d errors: %q, sent %q", x.Kind, x.Hz, e, string(got), x.Text)
		}
	}
}

// trim leaves out white space, of which there may be more or less.
func trim(r []rune) []rune {
	return slices.DeleteFunc(slices.Clone(r), func(c rune) bool { return c <= ' ' })
}
