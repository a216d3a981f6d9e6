package samples

import (
	"errors"
	"io"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/mjibson/go-dsp/spectral"
	"ionoscribe/demod"
)

// checkReads reads src in blocks of size samples, or of random lengths if 0, and compares.
func checkReads(t *testing.T, src demod.SampleReader, want []float32, size int) {
	t.Helper()
	rng := rand.New(rand.NewPCG(5, 6))
	at := 0
	for {
		n := size
		if n == 0 {
			n = rng.IntN(2000)
		}
		buf := make([]float32, n)
		n, err := src.ReadSamples(buf)
		if at+n > len(want) {
			t.Fatalf("blocks of %d: more than %d samples", size, len(want))
		}
		for i, v := range buf[:n] {
			if v != want[at+i] {
				t.Fatalf("blocks of %d: sample %d is %v, want %v", size, at+i, v, want[at+i])
			}
		}
		at += n
		if err != nil {
			if !errors.Is(err, io.EOF) || at != len(want) {
				t.Errorf("blocks of %d: %v after %d of %d samples", size, err, at, len(want))
			}
			return
		}
	}
}

// sine is a test tone of n samples.
type sine struct {
	rate, hz float64
	n, end   int
}

func (s *sine) SampleRate() float64 { return s.rate }
func (s *sine) ReadSamples(dst []float32) (int, error) {
	if s.n >= s.end {
		return 0, io.EOF
	}
	dst = dst[:min(len(dst), s.end-s.n, 100)] // short reads are legal
	for i := range dst {
		dst[i] = float32(math.Sin(2 * math.Pi * s.hz / s.rate * float64(s.n)))
		s.n++
	}
	return len(dst), nil
}

// Noise power density is signal power / SNR / bandwidth by definition; measured over 60 s, in the whole band and,
// with the averaged periodogram of go-dsp, in the 2500 Hz of the definition.
func TestSNR(t *testing.T) {
	for _, rate := range rates {
		for _, snr := range []float64{-5, 10, 30} {
			const power = 0.25 * 0.25 / 2
			n, err := NewNoise(Silence(rate, 60), NoiseConfig{SNRdB: snr, SignalPower: power, Seed: 7})
			if err != nil {
				t.Fatal(err)
			}
			x := mustRead(t, n)
			in, sum := make([]float64, len(x)), 0.0
			for i, v := range x {
				in[i] = float64(v)
				sum += in[i] * in[i] / float64(len(x))
			}
			if got := 10 * math.Log10(power/(sum*2500/(rate/2))); math.Abs(got-snr) > 0.05 {
				t.Errorf("rate %v: %.3f dB, want %v", rate, got, snr)
			}
			if snr != 10 {
				continue
			}
			density, hz := spectral.Pwelch(in, rate, &spectral.PwelchOptions{NFFT: 1024})
			inBand := 0.0
			for i, d := range density {
				if hz[i] > 200 && hz[i] <= 2700 {
					inBand += d * rate / 1024
				}
			}
			if got := 10 * math.Log10(power/inBand); math.Abs(got-snr) > 0.2 { // whole bins only: up to 0.13 dB
				t.Errorf("rate %v: %.3f dB in 2500 Hz, want %v", rate, got, snr)
			}
		}
	}
}

// Mean 0, a third moment of 0 and a fourth of 3σ⁴ make it Gaussian enough.
func TestNoiseIsGaussian(t *testing.T) {
	n, err := NewNoise(Silence(12000, 60), NoiseConfig{SignalPower: 1})
	if err != nil {
		t.Fatal(err)
	}
	var m [5]float64
	x := mustRead(t, n)
	for _, v := range x {
		for k := range m {
			m[k] += math.Pow(float64(v)/n.Sigma(), float64(k)) / float64(len(x))
		}
	}
	for k, want := range []float64{1, 0, 1, 0, 3} {
		if math.Abs(m[k]-want) > 0.03 {
			t.Errorf("moment %d is %.3f, want %v", k, m[k], want)
		}
	}
}

// A tone of f sampled by a clock that is ppm fast is a tone of f/(1+ppm·10^-6), by the definition of the error.
func TestClockErrorAccuracy(t *testing.T) {
	for _, share := range []float64{0.01, 0.1, 0.25, 0.35, 0.4} {
		for _, ppm := range []float64{0, 50, -200, 3000} {
			const rate, n = 12000, 60000
			c, err := NewClockError(&sine{rate: rate, hz: share * rate, end: n}, ppm)
			if err != nil {
				t.Fatal(err)
			}
			x := mustRead(t, c)
			if want := n * (1 + ppm*1e-6); math.Abs(float64(len(x))-want) > 1 {
				t.Errorf("%v ppm: %d samples, want %.1f", ppm, len(x), want)
			}
			worst := 0.0
			for m := 40; m < len(x)-40; m++ {
				want := math.Sin(2 * math.Pi * share * float64(m) / (1 + ppm*1e-6))
				worst = max(worst, math.Abs(float64(x[m])-want))
			}
			if worst > 1e-3 {
				t.Errorf("%v ppm at %v of the rate: error of %.1f dB", ppm, share, 20*math.Log10(worst))
			}
		}
	}
}

func TestClockErrorOfLines(t *testing.T) {
	const rate = 48000
	for _, ppm := range []float64{100, -37} {
		c, err := NewClockError(mustFax(t, only(FaxConfig{Picture: plain(1810, 1, 0), SampleRate: rate, PhasingSeconds: 20})), ppm)
		if err != nil {
			t.Fatal(err)
		}
		p := pulses(momentaryHz(mustRead(t, c), rate), 1900)
		first, last := p[1], p[len(p)-2]
		period := (last[0] + last[1] - first[0] - first[1]) / 2 / rate / float64(len(p)-3)
		if got := (period/0.5 - 1) * 1e6; math.Abs(got-ppm) > 1 {
			t.Errorf("lines are %.2f ppm long, want %v", got, ppm)
		}
	}
}

func TestChain(t *testing.T) {
	build := func() demod.SampleReader {
		c, err := NewClockError(&sine{rate: 8000, hz: 1000, end: 9000}, 123)
		if err != nil {
			t.Fatal(err)
		}
		n, err := NewNoise(NewLimit(NewSkip(c, 0.1), 1), NoiseConfig{SNRdB: 3, SignalPower: 0.5, Seed: 1})
		if err != nil {
			t.Fatal(err)
		}
		all, err := Concat(Silence(8000, 0.01), n, Silence(8000, 0), Silence(8000, 0.02))
		if err != nil {
			t.Fatal(err)
		}
		return all
	}
	whole := mustRead(t, build())
	if len(whole) != 80+8000+160 {
		t.Fatalf("%d samples", len(whole))
	}
	for _, size := range []int{1, 7, 479, 0} {
		checkReads(t, build(), whole, size)
	}
	tone := mustRead(t, NewSkip(&sine{rate: 8000, hz: 1000, end: 100}, 0.001))
	if len(tone) != 92 || math.Abs(float64(tone[2])-1) > 1e-6 {
		t.Errorf("skip: %d samples, %v", len(tone), tone[2])
	}
	if x := mustRead(t, NewSkip(Silence(8000, 1), 2)); len(x) != 0 {
		t.Errorf("skip past the end: %d samples", len(x))
	}
	if x := mustRead(t, NewLimit(Silence(8000, 1), math.NaN())); len(x) != 0 {
		t.Errorf("limit of no number: %d samples", len(x))
	}
}

type stuck struct{ sine }

func (*stuck) ReadSamples([]float32) (int, error) { return 0, nil }

func TestChainErrors(t *testing.T) {
	s := Silence(8000, 1)
	for name, err := range map[string]error{
		"clock nan": second(NewClockError(s, math.NaN())), "clock": second(NewClockError(s, 1e6)), "nil": second(NewClockError(nil, 0)),
		"power": second(NewNoise(s, NoiseConfig{})), "snr": second(NewNoise(s, NoiseConfig{SignalPower: 1, SNRdB: math.NaN()})),
		"bandwidth": second(NewNoise(s, NoiseConfig{SignalPower: 1, BandwidthHz: -1})), "no noise": second(NewNoise(nil, NoiseConfig{SignalPower: 1})),
		"rates": second(Concat(s, Silence(9000, 1))), "none": second(Concat()), "stuck": second(ReadAll(&stuck{})),
	} {
		if err == nil {
			t.Errorf("%s: no error", name)
		}
	}
}

func second[T any](_ T, err error) error { return err }

func TestStagesDoNotAllocate(t *testing.T) {
	c, _ := NewClockError(Silence(12000, 1e6), 10)
	n, _ := NewNoise(c, NoiseConfig{SignalPower: 1})
	all, _ := Concat(n)
	buf := make([]float32, 1000)
	if n := testing.AllocsPerRun(50, func() { all.ReadSamples(buf) }); n != 0 {
		t.Errorf("%v allocations a read", n)
	}
}
