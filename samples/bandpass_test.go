package samples

import (
	"encoding/json"
	"io"
	"math"
	"os"
	"testing"

	"ionoscribe/demod"
)

// list plays samples.
type list struct {
	rate float64
	x    []float32
}

func (l *list) SampleRate() float64 { return l.rate }
func (l *list) ReadSamples(dst []float32) (int, error) {
	if len(l.x) == 0 {
		return 0, io.EOF
	}
	n := copy(dst, l.x)
	l.x = l.x[n:]
	return n, nil
}

func mustBandpass(t testing.TB, src demod.SampleReader, low, high float64) *Bandpass {
	t.Helper()
	b, err := NewBandpass(src, low, high)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// SciPy's butter, sosfilt and sosfreqz; see testdata/bandpass.py.
func TestBandpass(t *testing.T) {
	data, err := os.ReadFile("testdata/bandpass.json")
	if err != nil {
		t.Fatal(err)
	}
	var cases []struct {
		Rate, Low, High float64
		Hz, DB, Impulse []float64
	}
	if err := json.Unmarshal(data, &cases); err != nil {
		t.Fatal(err)
	}
	for _, c := range cases {
		one := make([]float32, int(c.Rate)) // the response has died away after a second
		one[0] = 1
		x := mustRead(t, mustBandpass(t, &list{c.Rate, one}, c.Low, c.High))
		for i, want := range c.Impulse {
			if math.Abs(float64(x[i])-want) > 1e-7 {
				t.Fatalf("%v to %v Hz at %v: impulse response %v at %d, want %v", c.Low, c.High, c.Rate, x[i], i, want)
			}
		}
		for i, a := range tones(x, c.Rate, c.Hz...) { // of an impulse: 2/len times the response
			got := 20 * math.Log10(a*float64(len(x))/2)
			if c.DB[i] > -90 && math.Abs(got-c.DB[i]) > 0.01 {
				t.Errorf("%v to %v Hz at %v: %.3f dB at %v Hz, want %.3f", c.Low, c.High, c.Rate, got, c.Hz[i], c.DB[i])
			}
		}
	}
}

// In silence the filter comes to rest.
func TestBandpassRests(t *testing.T) {
	x := make([]float32, 40000)
	x[0] = 1
	b := mustBandpass(t, &list{8000, x}, 300, 2700)
	mustRead(t, b)
	for _, q := range b.sections {
		if q.s1 != 0 || q.s2 != 0 {
			t.Errorf("state of %v, %v", q.s1, q.s2)
		}
	}
}
