package samples

import (
	"errors"
	"io"
	"math"
	"math/cmplx"
	"slices"
	"testing"

	"ionoscribe/demod"
)

func newIQScene(t testing.TB, c IQSceneConfig) *IQScene {
	t.Helper()
	s, err := NewIQScene(c)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func readIQ(t testing.TB, src demod.IQReader, block int) (all []complex64) {
	t.Helper()
	buf := make([]complex64, block)
	for {
		n, err := src.ReadIQ(buf)
		all = append(all, buf[:n]...)
		if errors.Is(err, io.EOF) {
			return all
		}
		if err != nil {
			t.Fatal(err)
		}
	}
}

func carrier(t testing.TB, rate, hz float64) *Carrier {
	t.Helper()
	c, err := NewCarrier(rate, hz, 1)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// A cosine becomes one exponential: amplitude, frequency and time of the formula, and nothing else above -60 dB.
func TestIQSceneTone(t *testing.T) {
	for _, c := range []struct{ audio, rate, dial, hz float64 }{
		{12000, 96000, 20000, 1500}, {12000, 96000, -47000, 200}, {12000, 48000, -3000, 5700}, {8000, 44100, 11111, 3700},
		{48000, 192000, -90000, 15000}, {12000, 12000, -2000, 1000},
	} {
		s := newIQScene(t, IQSceneConfig{SampleRate: c.rate, Seconds: 0.4, Signals: []IQSignal{
			{Source: NewLimit(carrier(t, c.audio, c.hz), 1), DialHz: c.dial, Gain: 0.8},
		}})
		z := readIQ(t, s, 1000)
		if len(z) != int(0.4*c.rate) {
			t.Fatalf("%d samples", len(z))
		}
		var turn complex128 // phase of the carrier against the formula
		want := func(i int) complex128 {
			_, f := math.Modf((c.dial + c.hz) * float64(i) / c.rate)
			return cmplx.Rect(1, 2*math.Pi*f)
		}
		edge := len(z) / 8
		for i := edge; i < len(z)-edge; i++ {
			turn += complex128(z[i]) * cmplx.Conj(want(i)) / complex(float64(len(z)-2*edge), 0)
		}
		diff := 0.0
		for i := edge; i < len(z)-edge; i++ {
			d := cmplx.Abs(complex128(z[i]) - turn*want(i))
			diff += d * d / float64(len(z)-2*edge)
		}
		level, rest := cmplx.Abs(turn), 10*math.Log10(diff/0.64)
		t.Logf("%+v: level %.5f, rest %.1f dB", c, level, rest)
		if math.Abs(level-0.8) > 0.001*0.8 || rest > -60 {
			t.Errorf("%+v: level %g, rest %.1f dB", c, level, rest)
		}
	}
}

// A receiver in the upper sideband gets back the audio that was put in, when it was, at the SNR that IQGain states.
func TestIQSceneBackToAudio(t *testing.T) {
	const rate, density, snr, start = 48000.0, 3e-7, 7.0, 0.5
	source := func() *RTTY {
		r, err := NewRTTY(RTTYConfig{Text: "RYRYRY THE QUICK BROWN FOX", SampleRate: 12000})
		if err != nil {
			t.Fatal(err)
		}
		return r
	}
	sent, err := ReadAll(source())
	if err != nil {
		t.Fatal(err)
	}
	power := source().Power()
	gain := IQGain(power, snr, density)
	signal := []IQSignal{{Source: source(), DialHz: -17000, StartSeconds: start, Gain: gain}}
	hear := func(c IQSceneConfig) []float32 {
		c.SampleRate = rate
		r, err := demod.NewTunerReader(newIQScene(t, c), demod.TunerConfig{DialHz: -17000})
		if err != nil {
			t.Fatal(err)
		}
		x, err := ReadAll(r)
		if err != nil {
			t.Fatal(err)
		}
		return x
	}
	heard := hear(IQSceneConfig{Signals: signal})
	shift := int(start * 12000)
	if len(heard) < shift+len(sent) || len(heard) > shift+len(sent)+100 {
		t.Fatalf("%d samples of %d and %d", len(heard), shift, len(sent))
	}
	var diff, all float64
	for i, v := range sent[300 : len(sent)-300] { // between the clicks of its ends
		d := float64(heard[shift+300+i]) - gain*float64(v)
		diff += d * d
		all += gain * gain * float64(v) * float64(v)
	}
	if db := 10 * math.Log10(diff/all); db > -60 {
		t.Errorf("the audio comes back with an error of %.1f dB", db)
	}
	// The noise alone, in the noise bandwidth of a Tuner, rate·Σh²/(Σh)² of its sharp filter.
	bandwidth := 0.0
	for _, h := range demod.Lowpass(6000, 2200, 2400, 80) {
		bandwidth += 6000 * h * h
	}
	noise := hear(IQSceneConfig{NoiseDensity: density, Seconds: 20, Seed: 3})
	sum := 0.0
	for _, v := range noise {
		sum += float64(v) * float64(v)
	}
	in2500 := sum / float64(len(noise)) / bandwidth * NoiseBandwidthHz
	got := 10 * math.Log10(gain*gain*power/in2500)
	// 20 s hold 2·20·4600 independent values: a standard deviation of 0.014 dB.
	if math.Abs(got-snr) > 0.05 {
		t.Errorf("SNR %.3f dB, want %g", got, snr)
	}
}

func TestIQSceneNoiseAndOffset(t *testing.T) {
	z := readIQ(t, newIQScene(t, IQSceneConfig{SampleRate: 96000, NoiseDensity: 2e-6, Seconds: 4, Offset: 0.1 - 0.2i, Seed: 5}), 4096)
	var power, mean complex128
	for _, v := range z {
		w := complex128(v) - (0.1 - 0.2i)
		power += complex(real(w)*real(w), imag(w)*imag(w))
		mean += w
	}
	n := complex(float64(len(z)), 0)
	// Half of 2e-6·96000 in each part; 384000 values of each: a standard deviation of 0.23 %.
	if p := power / n; math.Abs(real(p)/0.096-1) > 0.01 || math.Abs(imag(p)/0.096-1) > 0.01 {
		t.Errorf("power %v, want 0.096 in each part", p)
	}
	if cmplx.Abs(mean/n) > 0.003 {
		t.Errorf("mean is off by %v", mean/n)
	}
}

func TestIQSceneBlocks(t *testing.T) {
	scene := func(seconds float64) *IQScene {
		return newIQScene(t, IQSceneConfig{
			SampleRate: 44100, NoiseDensity: 1e-7, Seed: 2, Seconds: seconds,
			Signals: []IQSignal{
				{Source: NewLimit(carrier(t, 12000, 700), 0.1), DialHz: 3000},
				{Source: NewLimit(carrier(t, 8000, 1700), 0.1), DialHz: -9000, StartSeconds: 0.25},
			},
		})
	}
	for _, seconds := range []float64{0, 0.3, 0.5} {
		whole := readIQ(t, scene(seconds), 1<<20)
		if n := float64(len(whole)) / 44100; seconds > 0 && n != seconds || seconds == 0 && (n < 0.35 || n > 0.36) {
			t.Errorf("%g s last %g s", seconds, n)
		}
		for _, block := range []int{1, 479} {
			if !slices.Equal(readIQ(t, scene(seconds), block), whole) {
				t.Errorf("%g s, blocks of %d: samples differ", seconds, block)
			}
		}
	}
}

func TestIQSceneErrors(t *testing.T) {
	tone := carrier(t, 12000, 700)
	nan := math.NaN()
	for _, c := range []IQSceneConfig{
		{}, {SampleRate: nan}, {SampleRate: 48000, NoiseDensity: -1}, {SampleRate: 48000, Seconds: nan},
		{SampleRate: 48000, Signals: []IQSignal{{}}},
		{SampleRate: 48000, Signals: []IQSignal{{Source: tone, DialHz: 24001}}},
		{SampleRate: 48000, Signals: []IQSignal{{Source: tone, StartSeconds: -1}}},
		{SampleRate: 48000, Signals: []IQSignal{{Source: tone, Gain: nan}}},
		{SampleRate: 8000, Signals: []IQSignal{{Source: tone}}},
	} {
		if s, err := NewIQScene(c); err == nil || s != nil {
			t.Errorf("%+v: no error", c)
		}
	}
	failing := newIQScene(t, IQSceneConfig{SampleRate: 48000, Seconds: 1, Signals: []IQSignal{{Source: failingReader{}}}})
	if _, err := failing.ReadIQ(make([]complex64, 100)); !errors.Is(err, io.ErrUnexpectedEOF) {
		t.Errorf("a source that fails: %v", err)
	}
}

type failingReader struct{}

func (failingReader) SampleRate() float64                { return 12000 }
func (failingReader) ReadSamples([]float32) (int, error) { return 0, io.ErrUnexpectedEOF }

// Ten signals of 12 kHz in a band of 96 kHz, with noise.
func BenchmarkIQScene(b *testing.B) {
	c := IQSceneConfig{SampleRate: 96000, NoiseDensity: 1e-7}
	for i := range 10 {
		c.Signals = append(c.Signals, IQSignal{Source: carrier(b, 12000, 700), DialHz: float64(4000 * i)})
	}
	s := newIQScene(b, c)
	z := make([]complex64, 9600)
	b.ReportAllocs()
	for b.Loop() {
		s.ReadIQ(z)
	}
	b.ReportMetric(0.1*float64(b.N)/b.Elapsed().Seconds(), "x-realtime")
}
