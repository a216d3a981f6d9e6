package fax_test

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"math"
	"math/rand/v2"
	"os/exec"
	"strings"
	"testing"

	"ionoscribe/fax"
	"ionoscribe/internal/decodertest"
)

// listener counts what comes out of what is no chart.
type listener struct {
	rate   float64
	d      *fax.Decoder
	tones  int
	charts []*fax.Chart
	begun  int
}

func newListener(tb testing.TB, c fax.Config) *listener {
	l := &listener{rate: c.SampleRate}
	d, err := fax.New(c, fax.Events{
		Chart: func(c *fax.Chart) { l.charts = append(l.charts, c) },
		State: func(s fax.State) {
			if s.Receiving && s.Began == fax.BeganStartTone {
				l.tones++
			}
			if s.Receiving {
				l.begun++
			}
		},
	})
	if err != nil {
		tb.Fatal(err)
	}
	l.d = d
	return l
}

func (l *listener) check(t *testing.T, what string, seconds float64) {
	t.Helper()
	l.d.Flush()
	t.Logf("%s, %.0f s: %d start tones, %d charts, %d begun", what, seconds, l.tones, len(l.charts), l.begun)
	if l.tones > 0 {
		t.Errorf("%s: %d start tones", what, l.tones)
	}
	for _, c := range l.charts {
		t.Errorf("%s: a chart of %d rows at %v lines a minute from %.1f s on, %s, %s, SNR %.1f dB, slant measured %v",
			what, c.Rows, c.LPM, float64(c.Start)/l.rate, c.Began, c.Ended, c.SNR, c.SlantMeasured)
	}
}

// minutes of listening: the normal number, or an hour with -long.
func minutes(n int) int { return times(n, 60) }

// White Gaussian noise, straight into the tone search: an hour always.
func TestNoTonesInNoise(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 1))
	z := make([]complex64, 3600*fax.VideoRate)
	for i := range z {
		z[i] = complex(float32(rng.NormFloat64()), float32(rng.NormFloat64()))
	}
	if found := fax.TonesIn(z, 1); len(found) > 0 {
		t.Errorf("%d tones in an hour of noise: %v", len(found), found)
	}
}

func TestNothingInNoise(t *testing.T) {
	const rate = 8000
	l := newListener(t, fax.Config{SampleRate: rate})
	rng := rand.New(rand.NewPCG(1, 2))
	x := make([]float32, 60*rate)
	for range minutes(15) {
		for i := range x {
			x[i] = float32(rng.NormFloat64() / 5)
		}
		l.d.Write(x)
	}
	l.check(t, "noise", float64(minutes(15)*60))
}

// Crackling noise: its strength changes at random, and with the bars of 120 beats a minute.
func TestNothingInUnevenNoise(t *testing.T) {
	const rate = 8000
	l := newListener(t, fax.Config{SampleRate: rate})
	rng := rand.New(rand.NewPCG(1, 3))
	x := make([]float32, 60*rate)
	for m := range minutes(10) {
		level := 0.1
		for i := range x {
			if rng.IntN(rate/4) == 0 {
				level = 0.01 * math.Exp(4*rng.Float64())
			}
			a := level
			if m%2 == 1 && i%(rate/2) < rate/10 {
				a *= 10
			}
			x[i] = float32(rng.NormFloat64() * a)
		}
		l.d.Write(x)
	}
	l.check(t, "uneven noise", float64(minutes(10)*60))
}

// speechWords are for invented bulletins.
var speechWords = strings.Fields(`gale storm warning forecast outlook wind sea swell rain squalls showers fog visibility moderate poor good
	occasionally later veering backing rising falling slowly rapidly low high ridge trough front moving north south east west
	expected imminent soon thousand and twelve nine four eighty seven point five knots metres miles at over the of area station
	vessel reports position cargo harbour pilot is not available until further notice this afternoon everybody keeps a sharp lookout`)

// speak returns the speech of espeak-ng at 22050 Hz.
func speak(t *testing.T, voice string, pitch, wordsPerMinute int, text string) []float32 {
	t.Helper()
	cmd := exec.Command("espeak-ng", "--stdout", "-v", voice, "-p", fmt.Sprint(pitch), "-s", fmt.Sprint(wordsPerMinute))
	cmd.Stdin = strings.NewReader(text)
	b, err := cmd.Output()
	if err != nil {
		t.Fatal(err)
	}
	const header = 44 // of a plain WAV file, which says the rate at 24
	if len(b) < header || !bytes.Equal(b[36:40], []byte("data")) || binary.LittleEndian.Uint32(b[24:]) != 22050 {
		t.Fatalf("not the WAV that was expected: % x", b[:min(len(b), header)])
	}
	x := make([]float32, (len(b)-header)/2)
	for i := range x {
		x[i] = float32(int16(binary.LittleEndian.Uint16(b[header+2*i:]))) / 32768
	}
	return x
}

// Speech needs the Debian package espeak-ng.
func TestNothingInSpeech(t *testing.T) {
	if _, err := exec.LookPath("espeak-ng"); err != nil {
		t.Skip("espeak-ng is not installed")
	}
	const rate = 22050
	l := newListener(t, fax.Config{SampleRate: rate})
	rng := rand.New(rand.NewPCG(1, 4))
	total := 0
	for k := 0; total < minutes(8)*60*rate; k++ {
		var text strings.Builder
		for range 30 {
			for range 4 + rng.IntN(10) {
				text.WriteString(speechWords[rng.IntN(len(speechWords))] + " ")
			}
			text.WriteString(". ")
		}
		voices := []string{"en", "en-us", "de", "fr-fr", "it", "sv", "en+f3", "en+m5", "pt", "nl"}
		x := speak(t, voices[k%len(voices)], rng.IntN(100), 110+rng.IntN(160), text.String())
		total += len(x)
		l.d.Write(x)
	}
	l.check(t, "speech", float64(total)/rate)
}

// TestLongNothingInMusic has more of it.
func TestNothingInMusic(t *testing.T) { nothingInMusic(t, minutes(4)) }

func nothingInMusic(t *testing.T, minutes int) {
	const rate = 8000
	l := newListener(t, fax.Config{SampleRate: rate})
	rng := rand.New(rand.NewPCG(1, 5))
	tempi := []float64{120, 60, 240, 90, 100, 73, 180, 140}
	for k := range minutes {
		tuning := 261.63 * math.Pow(2, float64(rng.IntN(24)-12)/24) // quarter tones off, so that 300, 450 and 675 Hz occur
		l.d.Write(decodertest.Music(rng, rate, 60, tempi[k%len(tempi)], tuning))
	}
	l.check(t, "music", float64(minutes*60))
}

// Signals that are simple and no chart.
func TestNothingInSimpleSignals(t *testing.T) {
	const rate = 8000
	seconds := float64(times(60, 1200))
	sine := func(hz, a float64) func(i int) float64 {
		return func(i int) float64 { return a * math.Sin(2*math.Pi*math.Mod(hz*float64(i)/rate, 1)) }
	}
	period := make([]float64, rate/50)
	for i := range period {
		for k := 1.0; k < 40; k++ {
			period[i] += sine(50*k, 0.3/k)(i + int(k)*31)
		}
	}
	hum := func(i int) float64 { return period[i%len(period)] }
	rng := rand.New(rand.NewPCG(1, 6))
	fsk := func(baud, centre, shift float64, bit func() bool) func(int) float64 {
		p, f, next := 0.0, 0.0, 0.0
		return func(i int) float64 {
			if float64(i) >= next {
				next += rate / baud
				f = centre + shift/2
				if bit() {
					f = centre - shift/2
				}
			}
			p += f / rate
			p -= math.Floor(p)
			return 0.3 * math.Sin(2*math.Pi*p)
		}
	}
	coin := func() bool { return rng.IntN(2) == 0 }
	turn := false
	reversal := func() bool { turn = !turn; return turn }
	// Morse-like: elements and gaps of 1 or 3 dots of 60 ms (1.2 s / 20 WPM).
	down, left := false, 0
	morse := func(i int) float64 {
		if left == 0 {
			down = !down
			left = rate * 60 / 1000 * []int{1, 1, 3}[rng.IntN(3)]
			if !down && rng.IntN(6) == 0 {
				left = rate * 60 / 1000 * 7
			}
		}
		left--
		if !down {
			return 0
		}
		return sine(1900, 0.3)(i)
	}
	square := func(hz float64) func(int) float64 {
		return func(i int) float64 {
			if math.Mod(hz*float64(i)/rate, 1) < 0.5 {
				return 1
			}
			return -1
		}
	}
	both := func(f ...func(int) float64) func(int) float64 {
		return func(i int) (s float64) {
			for _, f := range f {
				s += f(i)
			}
			return s
		}
	}
	noise := func(a float64) func(int) float64 { return func(int) float64 { return a * rng.NormFloat64() } }
	for _, c := range []struct {
		name string
		f    func(i int) float64
	}{
		{"silence", func(int) float64 { return 0 }},
		{"constant", func(int) float64 { return 1 }},
		{"full-scale square wave of 1 Hz", square(1)},
		{"full-scale square wave of 2 Hz", square(2)},
		{"full-scale square wave of 440 Hz", square(440)},
		{"full-scale square wave of 1900 Hz", square(1900)},
		{"full-scale square wave of 1500 Hz", square(1500)},
		{"carrier", sine(1900, 0.5)},
		{"carrier of white", sine(2300, 0.5)},
		{"carrier and noise", both(sine(1712, 0.3), noise(0.1))},
		{"two carriers", both(sine(1500, 0.3), sine(2300, 0.3))},
		{"two carriers 2 Hz apart", both(sine(1900, 0.3), sine(1902, 0.2))},
		{"mains hum", hum},
		{"mains hum and noise", both(hum, noise(0.05))},
		{"Morse at 20 WPM", morse},
		{"Morse at 20 WPM in noise", both(morse, noise(0.1))},
		{"50 baud, 450 Hz shift, random", fsk(50, 1900, 450, coin)},
		{"50 baud, 450 Hz shift, random, in noise", both(fsk(50, 1900, 450, coin), noise(0.2))},
		{"50 baud, 450 Hz shift, reversals", fsk(50, 1900, 450, reversal)},
		{"75 baud, 850 Hz shift, random", fsk(75, 1900, 850, coin)},
		{"100 baud, 170 Hz shift, random", fsk(100, 1700, 170, coin)},
		{"100 baud, 170 Hz shift, reversals", fsk(100, 1700, 170, reversal)},
	} {
		t.Run(c.name, func(t *testing.T) {
			x := make([]float32, int(seconds*rate))
			for i := range x {
				x[i] = float32(c.f(i))
			}
			l := newListener(t, fax.Config{SampleRate: rate})
			l.d.Write(x)
			l.check(t, c.name, seconds)
		})
	}
}
