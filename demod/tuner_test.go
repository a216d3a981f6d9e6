package demod

import (
	"encoding/json"
	"fmt"
	"io"
	"math"
	"math/cmplx"
	"math/rand/v2"
	"os"
	"slices"
	"testing"
)

var tunerRates = []float64{8000, 12000, 31250, 44100, 48000, 96000, 96000.37, 192000, 250000, 384000, 2.4e6}

func newTuner(t testing.TB, rate, dial float64, lower bool) *Tuner {
	t.Helper()
	s, err := NewTuner(TunerConfig{SampleRate: rate, DialHz: dial, Lower: lower})
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// exponential is n samples of exp(j(2π·hz·t+phase)).
func exponential(n int, rate, hz, phase float64) []complex64 {
	z := make([]complex64, n)
	for i := range z {
		_, turn := math.Modf(hz * float64(i) / rate)
		z[i] = complex64(cmplx.Rect(1, 2*math.Pi*turn+phase))
	}
	return z
}

// noiseIQ is the noise of testdata/make_tuner.py.
func noiseIQ(n int) []complex64 {
	z := make([]complex64, n)
	a, b := uint32(1), uint32(2)
	for i := range z {
		a, b = a*1664525+1013904223, b*1664525+1013904223
		z[i] = complex(float32(int(a>>16)-32768)/32768, float32(int(b>>16)-32768)/32768)
	}
	return z
}

func TestTunerAgainstSciPy(t *testing.T) {
	var refs struct {
		Tuner []struct {
			Rate, Dial       float64
			Lower            bool
			Samples, Outputs int
			At               []int
			Want             []float64
		}
	}
	data, err := os.ReadFile("testdata/tuner.json")
	if err == nil {
		err = json.Unmarshal(data, &refs)
	}
	if err != nil {
		t.Fatal(err)
	}
	for _, ref := range refs.Tuner {
		s := newTuner(t, ref.Rate, ref.Dial, ref.Lower)
		y := s.Flush(s.Append(nil, noiseIQ(ref.Samples)))
		if len(y) != ref.Outputs {
			t.Errorf("%g Hz: %d outputs, want %d", ref.Rate, len(y), ref.Outputs)
			continue
		}
		var diff, power float64
		for i, n := range ref.At {
			diff += math.Pow(float64(y[n])-ref.Want[i], 2)
			power += ref.Want[i] * ref.Want[i]
		}
		got := decibels(diff / power)
		t.Logf("%g Hz, dial %g Hz: %.1f dB", ref.Rate, ref.Dial, got)
		if got > -118 { // float32 rounding through four stages
			t.Errorf("%g Hz: differs by %.1f dB", ref.Rate, got)
		}
	}
}

// TestTunerTone holds tones against the formula of the doc comment: amplitude, phase and time.
func TestTunerTone(t *testing.T) {
	for _, rate := range tunerRates {
		for _, lower := range []bool{false, true} {
			dial, side := -0.27*rate, 1.0
			if lower {
				dial, side = 0.27*rate, -1
			}
			s := newTuner(t, rate, dial, lower)
			n := int(rate / 4)
			worst := 0.0
			for _, f := range []float64{TunerLowHz, 123.4, 1000, 2300, 3210, TunerHighHz} {
				y := s.Flush(s.Append(nil, exponential(n, rate, dial+side*f, 0.3)))
				if want := int(math.Floor(float64(n-1)*TunerRate/rate)) + 1; len(y) != want {
					t.Fatalf("%g Hz: %d outputs, want %d", rate, len(y), want)
				}
				for n := 400; n < len(y)-400; n++ {
					want := math.Cos(2*math.Pi*f*s.InputTime(int64(n))/rate + side*0.3)
					worst = max(worst, math.Abs(float64(y[n])-want))
				}
			}
			db := 20 * math.Log10(worst)
			t.Logf("%g Hz, lower %v: %.1f dB", rate, lower, db)
			if db > -68 { // four ripples of -80 dB
				t.Errorf("%g Hz, lower %v: error %.1f dB", rate, lower, db)
			}
		}
	}
}

// TestTunerRejection: whatever lies 100 Hz or more outside the edges, the other sideband and all frequencies that
// decimation folds, is held off by 70 dB.
func TestTunerRejection(t *testing.T) {
	for _, rate := range tunerRates {
		dial := 0.1 * rate
		s := newTuner(t, rate, dial, false)
		worst, at := -200.0, 0.0
		check := func(f float64) {
			above := 2*tunerEdgeHz + TunerLowHz
			if f > -TunerLowHz && f < float64(above) || math.Abs(dial+f) > rate/2 || f+rate < float64(above) && dial+f+rate/2 < TunerLowHz {
				return // the last: half of the transition of a band that is cut lies inside
			}
			y := s.Flush(s.Append(nil, exponential(int(rate/8), rate, dial+f, 0)))
			sum := 0.0
			for _, v := range y[400 : len(y)-400] {
				sum += float64(v) * float64(v)
			}
			if db := decibels(2 * sum / float64(len(y)-800)); db > worst {
				worst, at = db, f
			}
		}
		for f := -rate; f < rate; f += rate / 61 {
			check(f)
		}
		for f := -4700.0; f <= 9000; f += 95 { // the image, and what lies above
			check(f)
		}
		check(-TunerLowHz)
		check(2*tunerEdgeHz + TunerLowHz)
		t.Logf("%g Hz: %.1f dB at %g Hz", rate, worst, at)
		if worst > -72 {
			t.Errorf("%g Hz: a signal %g Hz from the dial comes through at %.1f dB", rate, at, worst)
		}
	}
}

func TestTunerBlocks(t *testing.T) {
	for _, rate := range tunerRates {
		z := noiseIQ(9000)
		s := newTuner(t, rate, 123, false)
		whole := s.Flush(s.Append(nil, z))
		r := rand.New(rand.NewPCG(3, 4))
		for _, size := range []int{1, 7, 1025, 0} {
			var got []float32
			for rest := z; len(rest) > 0; {
				n := size
				if n == 0 {
					n = r.IntN(3000)
				}
				n = min(n, len(rest))
				block := slices.Clone(rest[:n])
				got = s.Append(got, block)
				if !slices.Equal(block, rest[:n]) {
					t.Fatal("the caller's block was changed")
				}
				rest = rest[n:]
			}
			if got = s.Flush(got); !slices.Equal(got, whole) {
				t.Errorf("%g Hz, blocks of %d: output differs", rate, size)
			}
		}
		s.Append(nil, z[:777])
		s.Reset()
		if !slices.Equal(s.Flush(s.Append(nil, z)), whole) {
			t.Errorf("%g Hz: output differs after Reset", rate)
		}
		src := &iqBlocks{z, rate}
		reader, err := NewTunerReader(src, TunerConfig{DialHz: 123})
		if err != nil {
			t.Fatal(err)
		}
		var got []float32
		buf := make([]float32, 100)
		for err == nil {
			var n int
			n, err = reader.ReadSamples(buf)
			got = append(got, buf[:n]...)
		}
		if err != io.EOF || !slices.Equal(got, whole) {
			t.Errorf("%g Hz: the reader gives %d samples, want %d: %v", rate, len(got), len(whole), err)
		}
	}
}

// iqBlocks gives 333 samples at a time, and the last together with the end.
type iqBlocks struct {
	z    []complex64
	rate float64
}

func (b *iqBlocks) SampleRate() float64 { return b.rate }

func (b *iqBlocks) ReadIQ(dst []complex64) (int, error) {
	n := copy(dst[:min(333, len(dst))], b.z)
	b.z = b.z[n:]
	if len(b.z) == 0 {
		return n, io.EOF
	}
	return n, nil
}

func TestTunerBadSamples(t *testing.T) {
	nan, inf := float32(math.NaN()), float32(math.Inf(1))
	bad := []complex64{1, complex(nan, 2), complex(-1, inf), complex(1e30, -inf), complex(3, -1<<32)}
	good := []complex64{1, 2i, -1, 0, 3}
	s := newTuner(t, 12000, 0, false)
	if got, want := s.Flush(s.Append(nil, bad)), s.Flush(s.Append(nil, good)); !slices.Equal(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
	if y := s.Flush(nil); len(y) != 0 {
		t.Errorf("nothing in, %v out", y)
	}
}

func TestTunerErrors(t *testing.T) {
	for _, c := range []TunerConfig{
		{}, {SampleRate: math.NaN()}, {SampleRate: 7999}, {SampleRate: 4000001}, {SampleRate: 48000, DialHz: 25000},
		{SampleRate: 48000, DialHz: math.NaN()}, {SampleRate: 48000, DialHz: 23900}, {SampleRate: 48000, DialHz: -23900, Lower: true},
	} {
		if s, err := NewTuner(c); err == nil || s != nil {
			t.Errorf("%+v: no error", c)
		}
	}
}

func TestTunerAllocations(t *testing.T) {
	s := newTuner(t, 96000, 10000, false)
	z, dst := noiseIQ(5000), make([]float32, 0, 2000)
	if n := testing.AllocsPerRun(20, func() { dst = s.Append(dst[:0], z) }); n != 0 {
		t.Errorf("%g allocations a block", n)
	}
}

func BenchmarkTuner(b *testing.B) {
	for _, rate := range []float64{12000, 48000, 96000, 192000} {
		b.Run(fmt.Sprint(rate), func(b *testing.B) {
			s := newTuner(b, rate, 0.1*rate, false)
			z, dst := noiseIQ(9600), make([]float32, 0, 12000)
			b.ReportAllocs()
			for b.Loop() {
				dst = s.Append(dst[:0], z)
			}
			reportRate(b, rate, len(z))
		})
	}
}
