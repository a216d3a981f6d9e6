package demod

import (
	"encoding/binary"
	"math"
	"math/big"
	"math/cmplx"
	"math/rand/v2"
	"slices"
	"testing"
)

var testRates = []float64{6000, 8000, 11025, 12000, 12345.678, 22050, 44100, 48000, 96000, 192000}

// fax is the typical use: a sub-carrier around 1900 Hz, stopband from 2200 Hz on, 50 dB.
func fax(t testing.TB, rate float64) *Baseband {
	b, err := NewBaseband(BasebandConfig{SampleRate: rate, OutputRate: 3600, CentreHz: 1900, PassHz: 1400})
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func tone(n int, rate, hz, amplitude, phase float64) []float32 {
	x := make([]float32, n)
	for i := range x {
		x[i] = float32(amplitude * math.Cos(2*math.Pi*hz*float64(i)/rate+phase))
	}
	return x
}

// TestBasebandTone holds a tone against the formula of the doc comment: amplitude, phase and time.
func TestBasebandTone(t *testing.T) {
	for _, rate := range testRates {
		b := fax(t, rate)
		for _, f := range []float64{-1390, -400, 0, 7.5, 400, 1000, 1390} {
			if 1900+f > rate/2-400 {
				continue // in the transition at half the sample rate
			}
			n := int(rate / 4)
			y := b.Flush(b.Append(nil, tone(n, rate, 1900+f, 0.7, 0.3)))
			if want := int(math.Floor(float64(n-1)*3600/rate+1e-9)) + 1; len(y) != want {
				t.Errorf("%g Hz: %d outputs, want %d", rate, len(y), want)
			}
			worst, level := 0.0, 0.0
			for n := 60; n < len(y)-60; n++ {
				want := cmplx.Rect(0.7, 2*math.Pi*f*float64(n)/3600+0.3)
				worst = max(worst, cmplx.Abs(complex128(y[n])-want)/0.7)
				level += cmplx.Abs(complex128(y[n])) / 0.7 / float64(len(y)-120)
			}
			// Passband ripple and mirror image: each -50 dB, where the formula may be half a decibel off.
			if worst > 2*math.Pow(10, -49.5/20) || math.Abs(20*math.Log10(level)) > 0.05 {
				t.Errorf("%g Hz, tone at %+g Hz: error %.1f dB, level %.3f dB", rate, f, 20*math.Log10(worst), 20*math.Log10(level))
			}
		}
	}
}

// TestBasebandStopband: Kaiser's formula promises 50 dB; it is an empirical fit, good to about half a decibel. A
// real tone is two lines, each attenuated so: together at most -47 dB.
func TestBasebandStopband(t *testing.T) {
	for _, rate := range testRates {
		b := fax(t, rate)
		for hz := 4110.; hz < rate/2-10; hz += max(97, rate/200) {
			y := b.Flush(b.Append(nil, tone(int(rate/8), rate, hz, 1, 0)))
			sum := 0.0
			for _, z := range y[60 : len(y)-60] {
				sum += float64(power(z))
			}
			if db := decibels(sum / float64(len(y)-120)); db > -46.5 {
				t.Errorf("%g Hz: tone at %g Hz comes through at %.1f dB", rate, hz, db)
			}
		}
	}
}

func TestBasebandBlocks(t *testing.T) {
	for _, rate := range testRates {
		x := noise(6000)
		b := fax(t, rate)
		whole := b.Flush(b.Append(nil, x))
		for _, size := range []int{1, 7, 479, 0} {
			r := rand.New(rand.NewPCG(3, 4))
			var got []complex64
			var block []float32
			for rest := x; len(rest) > 0; rest = rest[len(block):] {
				n := size
				if n == 0 {
					n = r.IntN(2000)
				}
				block = slices.Clone(rest[:min(n, len(rest))])
				got = b.Append(got, block)
				for i := range block {
					block[i] = 9 // a caller uses its buffer again
				}
			}
			if got = b.Flush(got); !slices.Equal(got, whole) {
				t.Errorf("%g Hz, blocks of %d: output differs", rate, size)
			}
		}
		b.Append(nil, x[:777])
		b.Reset()
		if !slices.Equal(b.Flush(b.Append(nil, x)), whole) {
			t.Errorf("%g Hz: output differs after Reset", rate)
		}
	}
}

func TestBasebandBadSamples(t *testing.T) {
	nan, inf := float32(math.NaN()), float32(math.Inf(1))
	bad := []float32{1, nan, -1, inf, 0.5, -inf, 0.25, 1e30, -1 << 32}
	good := []float32{1, 0, -1, 0, 0.5, 0, 0.25, 0, 0}
	b := fax(t, 12000)
	if got, want := b.Flush(b.Append(nil, bad)), b.Flush(b.Append(nil, good)); !slices.Equal(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
	if y := b.Flush(nil); len(y) != 0 {
		t.Errorf("nothing in, %v out", y)
	}
}

// TestBasebandWeek: after a week at 192 kHz phase and time agree with exact arithmetic (math/big).
func TestBasebandWeek(t *testing.T) {
	for _, rate := range []float64{192000, 44100, 12345.678} {
		b := fax(t, rate)
		const outputs = 7 * 24 * 3600 * 3600
		exact := func(a, b float64, n int64) *big.Rat {
			r := new(big.Rat).Quo(new(big.Rat).SetFloat64(a), new(big.Rat).SetFloat64(b))
			return r.Mul(r, new(big.Rat).SetInt64(n))
		}
		// Position of the output, as run adds it up.
		at := new(big.Rat).SetFrac(new(big.Int).SetUint64(b.advanceFrac), new(big.Int).Lsh(big.NewInt(1), 64))
		at.Add(at, new(big.Rat).SetInt64(b.advanceInt))
		at.Mul(at, new(big.Rat).SetInt64(outputs))
		if d, _ := at.Sub(at, exact(rate, 3600, outputs)).Float64(); math.Abs(d) > 1e-9 {
			t.Errorf("%g Hz: position is wrong by %g samples", rate, d)
		}
		i := int64(7*24*3600*rate) + 12345
		turn := exact(1900, rate, i)
		whole := new(big.Int).Quo(turn.Num(), turn.Denom())
		fraction, _ := turn.Sub(turn, new(big.Rat).SetInt(whole)).Float64()
		want := cmplx.Rect(1, -2*math.Pi*fraction)
		if got := complex128(expTurns(-b.turn * uint64(i))); cmplx.Abs(got-want) > 1e-6 {
			t.Errorf("%g Hz: oscillator is wrong by %g rad", rate, cmplx.Abs(got-want))
		}
	}
}

func TestBasebandConfigErrors(t *testing.T) {
	good := BasebandConfig{SampleRate: 12000, OutputRate: 3600, CentreHz: 1900, PassHz: 1400}
	for name, spoil := range map[string]func(*BasebandConfig){
		"no rate":     func(c *BasebandConfig) { c.SampleRate = 0 },
		"NaN rate":    func(c *BasebandConfig) { c.SampleRate = math.NaN() },
		"tiny rate":   func(c *BasebandConfig) { c.SampleRate, c.CentreHz = 1e-9, 0 },
		"many phases": func(c *BasebandConfig) { c.SampleRate, c.AttenuationDB = 12345.678, 150 },
		"no output":   func(c *BasebandConfig) { c.OutputRate = 0 },
		"tiny output": func(c *BasebandConfig) { c.OutputRate, c.PassHz = 1e-9, 1e-10 },
		"centre":      func(c *BasebandConfig) { c.CentreHz = 6001 },
		"negative":    func(c *BasebandConfig) { c.CentreHz = -1 },
		"no pass":     func(c *BasebandConfig) { c.PassHz = 0 },
		"alias":       func(c *BasebandConfig) { c.StopHz = 2300 },
		"crossed":     func(c *BasebandConfig) { c.StopHz = 1300 },
		"attenuation": func(c *BasebandConfig) { c.AttenuationDB = 200 },
		"too long":    func(c *BasebandConfig) { c.StopHz = 1400.0001 },
		"infinite":    func(c *BasebandConfig) { c.OutputRate = math.Inf(1) },
	} {
		c := good
		spoil(&c)
		if b, err := NewBaseband(c); err == nil {
			t.Errorf("%s: accepted, %d taps", name, 2*b.half)
		}
	}
	a, b := fax(t, 12000), fax(t, 12000)
	if a.bank != b.bank {
		t.Error("equal configurations do not share their tables")
	}
}

// TestBasebandNarrow: an output rate far below the filter's length, and one above the input rate.
func TestBasebandNarrow(t *testing.T) {
	for _, c := range []BasebandConfig{
		{SampleRate: 48000, OutputRate: 50, CentreHz: 800, PassHz: 1, AttenuationDB: 21},
		{SampleRate: 6000, OutputRate: 9600, CentreHz: 1500, PassHz: 1000, StopHz: 1400},
	} {
		b, err := NewBaseband(c)
		if err != nil {
			t.Fatal(err)
		}
		y := b.Flush(b.Append(nil, tone(int(c.SampleRate), c.SampleRate, c.CentreHz, 1, 1)))
		if len(y) != int(c.OutputRate) && len(y) != int(c.OutputRate)-1 {
			t.Errorf("%+v: %d outputs in a second", c, len(y))
		}
		// Passband ripple is that of the stopband: 21 dB, 50 dB.
		ripple := map[float64]float64{21: 0.09, 0: 0.004}[c.AttenuationDB]
		if d := cmplx.Abs(complex128(y[len(y)/2]) - cmplx.Rect(1, 1)); d > ripple {
			t.Errorf("%+v: got %v", c, y[len(y)/2])
		}
	}
}

// TestDot holds the fast sum to the plain one.
func TestDot(t *testing.T) {
	x := noise(64 + 3)
	taps := make([]tapGroup, 8)
	for i, v := range noise(128) {
		if i < 64 {
			taps[i/8].re[i%8] = v
		} else {
			taps[i/8-8].im[i%8] = v
		}
	}
	for groups := range 9 {
		var want complex128
		for i := range 8 * groups {
			want += complex(float64(taps[i/8].re[i%8])*float64(x[i+3]), float64(taps[i/8].im[i%8])*float64(x[i+3]))
		}
		re, im := dot(taps[:groups], x[3:][:8*groups])
		if cmplx.Abs(complex(float64(re), float64(im))-want) > 1e-6 {
			t.Errorf("%d taps: %v%+vj, want %v", 8*groups, re, im, want)
		}
	}
}

func FuzzBaseband(f *testing.F) {
	seed := make([]byte, 0, 4*3000)
	for _, v := range noise(3000) {
		seed = binary.LittleEndian.AppendUint32(seed, math.Float32bits(v))
	}
	f.Add(seed, uint16(479), uint8(3))
	f.Add(seed, uint16(1), uint8(4))
	f.Add([]byte{0, 0, 0xc0, 0x7f, 0xff, 0xff, 0xff, 0x7f}, uint16(0), uint8(0))
	var made [16]*Baseband // also used again and again
	for i, rate := range testRates {
		made[i] = fax(f, rate)
	}
	f.Fuzz(func(t *testing.T, data []byte, cut uint16, which uint8) {
		x := make([]float32, len(data)/4)
		for i := range x {
			x[i] = math.Float32frombits(binary.LittleEndian.Uint32(data[4*i:]))
		}
		b := made[int(which)%len(testRates)]
		whole := b.Flush(b.Append(nil, x))
		var parts []complex64
		for rest := x; len(rest) > 0; {
			n := min(int(cut)+1, len(rest))
			parts = b.Append(parts, rest[:n])
			rest = rest[n:]
		}
		if parts = b.Flush(parts); !slices.Equal(parts, whole) {
			t.Error("output depends on the cut")
		}
		for _, z := range whole {
			if cmplx.IsNaN(complex128(z)) || cmplx.IsInf(complex128(z)) {
				t.Fatal("output is not finite")
			}
		}
	})
}
