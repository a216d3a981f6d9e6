package samples

import (
	"fmt"
	"io"
	"math"
	"math/cmplx"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/stat"

	"ionoscribe/demod"
)

// gains reads a tone of power 1/2 that went through a channel as complex gains, 2000/per of them a second: the tone
// of 500 Hz is taken down to 0 Hz, and a block of per samples averaged (whole periods of 500 and 1000 Hz).
func gains(t *testing.T, c FadingConfig, seconds float64, per int) []complex128 {
	t.Helper()
	const rate = 2000
	f, err := NewFading(NewLimit(&sine{rate: rate, hz: 500, end: math.MaxInt}, seconds), c)
	if err != nil {
		t.Fatal(err)
	}
	x := mustRead(t, f)
	turn := [4]complex128{1, -1i, -1, 1i}
	var g []complex128
	for ; len(x) >= per; x = x[per:] {
		var sum complex128
		for i, v := range x[:per] {
			sum += complex(float64(v), 0) * turn[i&3]
		}
		g = append(g, sum*complex(2/float64(per), 0)*1i) // a sine is -i at 0 Hz
	}
	return g
}

func power(g []complex128) float64 {
	sum := 0.0
	for _, v := range g {
		sum += real(v)*real(v) + imag(v)*imag(v)
	}
	return sum / float64(len(g))
}

// correlation is the mean of a[i+lag] times b[i] conjugate, over the root of the powers.
func correlation(a, b []complex128, lag int) complex128 {
	var sum complex128
	for i := range len(a) - lag {
		sum += a[i+lag] * cmplx.Conj(b[i])
	}
	return sum / complex(float64(len(a)-lag)*math.Sqrt(power(a)*power(b)), 0)
}

// ITU-R F.1487: the spectrum of a path is Gaussian, its spread d = 2σ. So the autocorrelation, its Fourier transform,
// is exp(-(πdt)²/2). An hour of channel; the spread from the curvature at t = 0.
func TestDopplerSpectrum(t *testing.T) {
	for _, d := range []float64{0.5, 10, 30} {
		t.Run(fmt.Sprintf("%g Hz", d), func(t *testing.T) {
			t.Parallel()
			// No delay: the sum of two independent Gaussian paths of equal spectrum has that spectrum.
			const per = 4
			g := gains(t, FadingConfig{SpreadHz: d, Seed: 1}, 3600, per)
			dt := per / 2000.0
			lag := max(1, int(math.Round(0.1/d/dt))) // where the correlation is about 0.95
			r := real(correlation(g, g, lag))
			spread := math.Sqrt(-2*math.Log(r)) / (math.Pi * float64(lag) * dt)
			t.Logf("spread %.4f Hz (%+.2f %%), mean power %.4f", spread, 100*(spread/d-1), power(g))
			if math.Abs(spread/d-1) > 0.03 {
				t.Errorf("spread %.3f Hz, ordered %g", spread, d)
			}
			// An hour has about 3600·d/2·√(4π) independent values of the power (bandwidth of its spectrum).
			if tolerance := 4 / math.Sqrt(3600*d*math.Sqrt(math.Pi)); math.Abs(power(g)-1) > tolerance {
				t.Errorf("mean power %.4f, within %.4f expected", power(g), tolerance)
			}
			for _, s := range []float64{0.2, 0.35, 0.5, 0.8, 1.5} { // of 1/d
				lag := int(math.Round(s / d / dt))
				want := math.Exp(-math.Pow(math.Pi*d*float64(lag)*dt, 2) / 2)
				if got := correlation(g, g, lag); cmplx.Abs(got-complex(want, 0)) > 4/math.Sqrt(3600*d) {
					t.Errorf("autocorrelation after %.3g s is %.3f, theory %.3f", float64(lag)*dt, got, want)
				}
			}
		})
	}
}

// The slowest channel of the Recommendation fades some hundred times an hour, so its spread is measured over 30.
func TestSlowSpread(t *testing.T) {
	const d, rate = 0.1, 4.0
	g := newGain(rate, d, 0, 1, rand.New(rand.NewPCG(1, 2)))
	v := make([]complex128, 30*3600*rate)
	for i := range v {
		v[i] = g.value(int64(i))
	}
	spread := math.Sqrt(-2*math.Log(real(correlation(v, v, 4)))) / (math.Pi * 4 / rate)
	t.Logf("spread %.4f Hz, power %.3f", spread, power(v))
	if math.Abs(spread/d-1) > 0.03 || math.Abs(power(v)-1) > 0.06 {
		t.Errorf("spread %.4f Hz, ordered %g; power %.3f", spread, d, power(v))
	}
}

// The magnitude of a path is Rayleigh distributed: its power is exponential. Kolmogorov-Smirnov test at a
// significance of 1 %: the distance is at most 1.628/√n (Massey, J. American Statistical Association 46, 1951, for
// large n). Values are 1/d apart, where they are independent to exp(-π²/2) = 0.007.
func TestRayleigh(t *testing.T) {
	const d, per = 10.0, 200
	g := gains(t, FadingConfig{SpreadHz: d, Seed: 3}, 3600, 4)
	var p []float64
	for i := 0; i < len(g); i += per / 4 {
		p = append(p, real(g[i])*real(g[i])+imag(g[i])*imag(g[i]))
	}
	mean := stat.Mean(p, nil)
	slices.Sort(p)
	distance := 0.0
	for i, v := range p {
		f, n := 1-math.Exp(-v/mean), float64(len(p))
		distance = max(distance, math.Abs(f-float64(i)/n), math.Abs(f-float64(i+1)/n))
	}
	limit := 1.628 / math.Sqrt(float64(len(p)))
	t.Logf("distance %.5f of %d values, limit %.5f", distance, len(p), limit)
	if distance > limit {
		t.Errorf("distance %.5f, at most %.5f at 1 %% significance", distance, limit)
	}
	// Rice, Bell System Technical Journal 23, 1944: the level falls through its root mean square √π·d/e times a second.
	crossings := 0
	for i := 1; i < len(g); i++ {
		if cmplx.Abs(g[i-1]) >= math.Sqrt(mean) && cmplx.Abs(g[i]) < math.Sqrt(mean) {
			crossings++
		}
	}
	if want := math.Sqrt(math.Pi) * d / math.E * 3600; math.Abs(float64(crossings)/want-1) > 0.02 {
		t.Errorf("%d crossings of the mean level in an hour, theory %.0f", crossings, want)
	}
}

// The two paths have equal power and do not know of each other; each has its own shift.
func TestPathsAreIndependent(t *testing.T) {
	const d, rate, n = 2.0, 50.0, 3600 * 50
	f, err := NewFading(Silence(2000, 1), FadingConfig{SpreadHz: d, Seed: 4})
	if err != nil {
		t.Fatal(err)
	}
	var g [2][]complex128
	for i, p := range f.gains {
		p.ratio *= 2000 / rate // read at a lower rate
		for k := range n {
			g[i] = append(g[i], p.value(int64(k)))
		}
	}
	independent := 3600 * d * math.Sqrt(math.Pi)
	if c := cmplx.Abs(correlation(g[0], g[1], 0)); c > 3/math.Sqrt(independent) {
		t.Errorf("correlation of the paths %.4f", c)
	}
	if a, b := power(g[0]), power(g[1]); math.Abs(a-0.5) > 0.02 || math.Abs(b-0.5) > 0.02 {
		t.Errorf("mean powers %.3f and %.3f, want 0.5 each", a, b)
	}
	// Steady paths, one of them 3 Hz up: they beat three times a second.
	v := gains(t, FadingConfig{ShiftHz: [2]float64{0, 3}}, 2, 20)
	for i := range v {
		if later := v[(i+100)%200]; math.Abs(cmplx.Abs(v[i])-cmplx.Abs(later)) > 2e-3 {
			t.Fatalf("magnitude %.3f, a second later %.3f", cmplx.Abs(v[i]), cmplx.Abs(later))
		}
	}
	least, most := 9.0, 0.0
	for _, a := range v {
		least, most = min(least, cmplx.Abs(a)), max(most, cmplx.Abs(a))
	}
	if least > 0.15 || math.Abs(most-math.Sqrt2) > 0.02 {
		t.Errorf("the beat goes from %.2f to %.2f, theory 0 to √2", least, most)
	}
}

// The second path of each condition is late by the delay of the Recommendation, at any rate: the response to a
// narrow pulse has two peaks.
func TestDelay(t *testing.T) {
	for _, c := range Channels {
		for _, rate := range []float64{8000, 11025, 48000} {
			// A pulse at 1500 Hz, 0.8 ms wide.
			at := 0.05
			pulse := func(s float64) float64 {
				return math.Exp(-math.Pow((s-at)/0.8e-3, 2)) * math.Cos(2*math.Pi*1500*(s-at))
			}
			x := make([]float32, int(0.1*rate))
			for i := range x {
				x[i] = float32(pulse(float64(i) / rate))
			}
			f, err := NewFading(&memory{rate: rate, x: x}, FadingConfig{DelaySeconds: c.DelaySeconds, Seed: 5})
			if err != nil {
				t.Fatal(err)
			}
			// The two phases are known: subtract the first path, and the second must be left.
			g0, g1 := f.gains[0].value(0), f.gains[1].value(0)
			worst := 0.0
			for i, v := range mustRead(t, f) {
				s := float64(i) / rate
				envelope := func(s float64) complex128 {
					return complex(math.Exp(-math.Pow((s-at)/0.8e-3, 2)), 0) * cmplx.Rect(1, 2*math.Pi*1500*(s-at))
				}
				want := real(g0*envelope(s) + g1*envelope(s-c.DelaySeconds))
				worst = max(worst, math.Abs(float64(v)-want))
			}
			// Rounding of the delay to 1/512 sample at 11025 Hz turns the phase by 0.1°.
			if worst > 2e-3 {
				t.Errorf("%s at %g Hz: off by %.4f", c.Name, rate, worst)
			}
		}
	}
}

// memory plays samples.
type memory struct {
	rate float64
	x    []float32
}

func (m *memory) SampleRate() float64 { return m.rate }
func (m *memory) ReadSamples(dst []float32) (int, error) {
	n := copy(dst, m.x)
	m.x = m.x[n:]
	if n == 0 {
		return 0, io.EOF
	}
	return n, nil
}

func TestFadingReads(t *testing.T) {
	build := func() demod.SampleReader {
		f, err := NewFading(NewLimit(&sine{rate: 11025, hz: 1900, end: math.MaxInt}, 0.7), FadingConfig{DelaySeconds: 1e-3, SpreadHz: 5, Seed: 2})
		if err != nil {
			t.Fatal(err)
		}
		tuned, err := NewTuning(f, 12, 0.5)
		if err != nil {
			t.Fatal(err)
		}
		return tuned
	}
	want := mustRead(t, build())
	if len(want) != 7717 {
		t.Errorf("%d samples of 7717", len(want))
	}
	for _, size := range []int{1, 7, 479, 5000} {
		checkReads(t, build(), want, size)
	}
}

// A tone moved by 25 Hz and 2 Hz/s is at 1025 + 2·s Hz.
func TestTuning(t *testing.T) {
	const rate = 8000
	m, err := NewTuning(NewLimit(&sine{rate: rate, hz: 1000, end: math.MaxInt}, 20), 25, 2)
	if err != nil {
		t.Fatal(err)
	}
	x := mustRead(t, m)
	for _, s := range []int{1, 10, 18} {
		if got, want := crossingHz(x[s*rate:(s+1)*rate], rate), 1025+2*(float64(s)+0.5); math.Abs(got-want) > 0.05 {
			t.Errorf("second %d: %.3f Hz, want %.3f", s, got, want)
		}
	}
}

func TestFadingErrors(t *testing.T) {
	src := Silence(8000, 1)
	for _, c := range []FadingConfig{{DelaySeconds: -1}, {DelaySeconds: math.NaN()}, {DelaySeconds: 1}, {SpreadHz: -1}, {SpreadHz: math.NaN()}, {SpreadHz: 1e4}, {ShiftHz: [2]float64{0, math.Inf(1)}}} {
		if _, err := NewFading(src, c); err == nil {
			t.Errorf("%+v is taken", c)
		}
	}
	if _, err := NewFading(nil, FadingConfig{}); err == nil {
		t.Error("no source is taken")
	}
	if _, err := NewTuning(src, math.NaN(), 0); err == nil {
		t.Error("a tuning of NaN is taken")
	}
	if _, err := FindChannel("nowhere"); err == nil {
		t.Error("a channel that is not there is found")
	}
}
