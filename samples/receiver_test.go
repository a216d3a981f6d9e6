package samples

import (
	"math"
	"testing"
)

func mustAGC(t testing.TB, x []float32, rate float64, c AGCConfig) []float32 {
	t.Helper()
	a, err := NewAGC(&list{rate, x}, c)
	if err != nil {
		t.Fatal(err)
	}
	return mustRead(t, a)
}

// levels is a square wave of a frequency of half the rate, so that |x| is known at each sample, of given amplitudes.
func levels(n int, amplitudes ...float32) []float32 {
	x := make([]float32, 0, n*len(amplitudes))
	for _, a := range amplitudes {
		for i := range n {
			x = append(x, a*float32(1-2*(i&1)))
		}
	}
	return x
}

// A first-order detector's step response: the level goes from a to b as b + (a-b)·exp(-t/attack); when the signal falls
// the peak goes down as exp(-t/decay), and the level, a first-order low-pass of it, as the textbook response of a
// cascade of two, (D·exp(-t/D) - A·exp(-t/A))/(D - A).
func TestAGCSteps(t *testing.T) {
	const rate, attack, decay, target = 8000.0, 0.01, 0.3, 0.5
	const n = 8000
	in := levels(n, 0.1, 0.1, 0.1, 0.8, 0.1, 0.1)
	out := mustAGC(t, in, rate, AGCConfig{Target: target, AttackSeconds: attack, DecaySeconds: decay})
	level := func(i int) float64 { return target * math.Abs(float64(in[i])) / math.Abs(float64(out[i])) }
	if l := level(3*n - 1); math.Abs(l-0.1) > 1e-6 {
		t.Errorf("steady level of %v", l)
	}
	for _, ms := range []int{1, 5, 10, 30, 100} {
		s := float64(ms) / 1000
		i := int(s * rate)
		// The sample at which the step comes is the first of the new level.
		if got, want := level(3*n+i-1), 0.8-0.7*math.Exp(-s/attack); math.Abs(got/want-1) > 1e-3 {
			t.Errorf("attack: level of %.5f after %v ms, want %.5f", got, ms, want)
		}
		want := 0.8 * (decay*math.Exp(-s/decay) - attack*math.Exp(-s/attack)) / (decay - attack)
		if got := level(4*n + i - 1); math.Abs(got/want-1) > 2e-3 {
			t.Errorf("decay: level of %.5f after %v ms, want %.5f", got, ms, want)
		}
	}
	if l := level(6*n - 1); math.Abs(l/0.1-1) > 1e-3 {
		t.Errorf("level of %v after the strong signal", l)
	}
}

// A steady sine comes to the target, whatever its strength; one below target over largest gain does not.
func TestAGCTarget(t *testing.T) {
	for _, in := range []float64{0.01, 0.2, 3} {
		const rate = 12000
		x := make([]float32, 4*rate)
		for i := range x {
			x[i] = float32(in * math.Sin(2*math.Pi*1000.0/rate*float64(i)))
		}
		for _, gain := range []float64{40, 20} {
			want := min(0.5, in*math.Pow(10, gain/20))
			got := tones(mustAGC(t, x, rate, AGCConfig{MaxGainDB: gain})[3*rate:], rate, 1000)[0]
			if math.Abs(got/want-1) > 1e-3 {
				t.Errorf("amplitude %v, gain up to %v dB: %.4f, want %.4f", in, gain, got, want)
			}
		}
	}
}

// A strong signal takes a weak one down: the gain is target over the sum of the amplitudes, the peak of two tones.
func TestAGCPumps(t *testing.T) {
	const rate = 12000
	x := make([]float32, 6*rate)
	for i := range x {
		x[i] = float32(0.05 * math.Sin(2*math.Pi*1000.0/rate*float64(i)))
		if i >= 3*rate {
			x[i] += float32(0.45 * math.Sin(2*math.Pi*1700.0/rate*float64(i)))
		}
	}
	out := mustAGC(t, x, rate, AGCConfig{})
	before, beside := tones(out[2*rate:3*rate], rate, 1000)[0], tones(out[5*rate:], rate, 1000)[0]
	if db := 20 * math.Log10(beside/before); math.Abs(db+20) > 0.2 {
		t.Errorf("the weak signal went down by %.2f dB, want 20", -db)
	}
}

// Fourier series: a square wave of ±1 has amplitudes 4/(πn) at odd n. tanh x is x - x³/3 + ..., so a small sine of
// amplitude A gets a third harmonic of A³/12 (sin³ = (3 sin - sin 3)/4).
func TestClip(t *testing.T) {
	const rate = 16000
	x := make([]float32, rate)
	through := func(amplitude float64, c ClipConfig) []float32 {
		for i := range x { // no sample at a zero crossing
			x[i] = float32(amplitude * math.Sin(2*math.Pi*(100*float64(i)/rate+0.25/160)))
		}
		s, err := NewClip(&list{rate, x}, c)
		if err != nil {
			t.Fatal(err)
		}
		return mustRead(t, s)
	}
	for _, soft := range []bool{false, true} {
		hard := through(1e6, ClipConfig{Level: 0.3, Soft: soft})
		for i, a := range tones(hard, rate, 100, 200, 300, 500) {
			n := []float64{1, 2, 3, 5}[i]
			want := 0.3 * 4 / math.Pi / n
			if n == 2 {
				want = 0
			}
			if math.Abs(a-want) > 1e-3 { // sampled: the harmonics above half the rate come back
				t.Errorf("soft %v: harmonic %v has %.5f, want %.5f", soft, n, a, want)
			}
		}
	}
	small := tones(through(0.02, ClipConfig{Level: 0.1, Soft: true}), rate, 300)[0]
	if want := 0.1 * math.Pow(0.2, 3) / 12; math.Abs(small/want-1) > 0.05 { // the next term, A²/4 and more, takes 4 %
		t.Errorf("third harmonic of %.3g, want %.3g", small, want)
	}
	for i, v := range through(0.2, ClipConfig{Level: 0.25}) {
		if v != x[i] {
			t.Fatal("a signal below the level is changed")
		}
	}
}

// A tone of f sampled by a clock that is e fast has the frequency f/(1+e).
func TestClockDrift(t *testing.T) {
	const rate, hz = 8000.0, 250.0 // low, for exact zero crossings
	for _, c := range []ClockConfig{
		{PPM: 20, PPMPerHour: 3000},
		{PPM: -100, PPMPerHour: -5000},
		{PPM: 10, SwingPPM: 200, SwingSeconds: 40},
		{PPM: 99000, PPMPerHour: 1e5}, // it stays at 100 000 ppm after 36 s
	} {
		d, err := NewClockDrift(&sine{rate: rate, hz: hz, end: 1 << 62}, c)
		if err != nil {
			t.Fatal(err)
		}
		x := mustRead(t, NewLimit(d, 60))
		for _, s := range []float64{2, 10, 20, 31, 50} {
			got := crossingHz(x[int((s-1)*rate):int((s+1)*rate)], rate)
			// Over the two seconds the error is that in the middle; a swing of period T is sinc(2/T) of itself.
			e := c.PPM + c.PPMPerHour*s/3600
			if c.SwingPPM != 0 {
				w := 2 * math.Pi / c.SwingSeconds
				e += c.SwingPPM * math.Sin(w*s) * math.Sin(w) / w
			}
			e = min(e, 1e5)
			if off := (hz/(1+e*1e-6) - got) / hz * 1e6; math.Abs(off) > 0.1 {
				t.Errorf("%+v: %.5f Hz after %v s, off by %.2f ppm", c, got, s, off)
			}
		}
	}
	// A phase without steps: the sum of the errors, in closed form, gives the time read last.
	c := ClockConfig{PPM: 30, PPMPerHour: 7200}
	d, _ := NewClockDrift(&sine{rate: rate, hz: hz, end: 1 << 62}, c)
	x := mustRead(t, NewLimit(d, 100))
	worst := 0.0
	for i := 40; i < len(x); i++ {
		s := float64(i) / rate
		// ∫ 1/(1+a+bt) dt = ln(1 + bt/(1+a))/b
		a, b := 30e-6, 2e-6
		want := math.Sin(2 * math.Pi * hz * math.Log1p(b*s/(1+a)) / b)
		worst = max(worst, math.Abs(float64(x[i])-want))
	}
	t.Logf("error of a drifting tone: %.1f dB", 20*math.Log10(worst))
	if worst > 1e-4 {
		t.Errorf("error of a drifting tone: %.1f dB", 20*math.Log10(worst))
	}
}

// A ramp, of which every sample tells its place, shows what is missing.
func TestDrop(t *testing.T) {
	const rate, every, seconds = 1000.0, 5.0, 0.25
	ramp := make([]float32, 4_000_000)
	for i := range ramp {
		ramp[i] = float32(i + 1)
	}
	for _, zeros := range []bool{false, true} {
		d, err := NewDrop(&list{rate, ramp}, DropConfig{EverySeconds: every, Seconds: seconds, Zeros: zeros, Seed: 2})
		if err != nil {
			t.Fatal(err)
		}
		x := mustRead(t, d)
		drops, last := 0.0, float32(0)
		var gaps []float64
		at := 0.0
		for _, v := range x {
			if v == 0 {
				continue
			}
			if v != last+1 {
				if v != last+1+rate*seconds {
					t.Fatalf("from %v to %v", last, v)
				}
				drops++
				gaps = append(gaps, float64(last)-at)
				at = float64(v)
			}
			last = v
		}
		if zeros && len(x) != len(ramp) || !zeros && math.Abs(float64(len(x))+drops*rate*seconds-float64(len(ramp))) > rate*seconds {
			t.Errorf("zeros %v: %d samples with %v drops", zeros, len(x), drops)
		}
		// Exponential gaps: their mean and their standard deviation are alike.
		mean, square := 0.0, 0.0
		for _, g := range gaps {
			mean += g / rate / drops
			square += g / rate * g / rate / drops
		}
		sd := math.Sqrt(square - mean*mean)
		t.Logf("%v drops every %.3f s, standard deviation %.3f s", drops, mean, sd)
		if tolerance := 3.5 * every / math.Sqrt(drops); math.Abs(mean-every) > tolerance || math.Abs(sd-every) > 1.5*tolerance {
			t.Errorf("drops every %.3f s, standard deviation %.3f s", mean, sd)
		}
	}
}
