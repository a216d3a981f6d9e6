package fax_test

import (
	"image"
	"image/color"
	"image/draw"
	"math"
	"math/rand/v2"
	"testing"

	"ionoscribe/demod"
	"ionoscribe/fax"
	"ionoscribe/samples"
)

// run is a stretch of one level: -1 black to +1 white.
type run struct{ seconds, level float64 }

// alternation is a control tone: black first.
func alternation(hz, seconds float64) (r []run) {
	for i := range int(2*hz*seconds + 0.5) {
		r = append(r, run{1 / (2 * hz), float64(2*(i%2) - 1)})
	}
	return r
}

// randomRuns is what a chart looks like on the air: runs of 1 to 40 pixels at 120 lines a minute, mostly white.
func randomRuns(rng *rand.Rand, seconds float64) (r []run) {
	for white := true; seconds > 0; white = !white {
		s := (1 + rng.ExpFloat64()*5) / 3619
		l := -1.0
		if white {
			s, l = (1+rng.ExpFloat64()*30)/3619, 1
		}
		r = append(r, run{s, l})
		seconds -= s
	}
	return r
}

// fm keys the runs; the phase at each sample is the exact integral of the frequency. skew is 1 + the error of
// the sample clock: everything lasts longer and is lower in pitch.
func fm(rate, centre, deviation, skew float64, runs []run) []float32 {
	rate *= skew
	var x []float32
	phase, at, end := 0.0, 0.0, 0.0 // phase in cycles at time at, in samples
	for _, r := range runs {
		end += r.seconds * rate
		f := (centre + deviation*r.level) / rate
		for n := float64(len(x)); n < end; n++ {
			phase += f * (n - at)
			phase -= math.Floor(phase)
			at = n
			x = append(x, float32(math.Sin(2*math.Pi*phase)/4))
		}
		phase += f * (end - at)
		at = end
	}
	return x
}

// power of what fm makes.
const power = 1.0 / 4 / 4 / 2

// spoil adds white noise: SNR in dB, the noise in 2500 Hz.
func spoil(x []float32, rate, snr float64, rng *rand.Rand) []float32 {
	sigma := math.Sqrt(power / math.Pow(10, snr/10) / 2500 * rate / 2)
	for i := range x {
		x[i] += float32(sigma * rng.NormFloat64())
	}
	return x
}

// picture draws a chart with frame, margins, lines and what has the texture of lettering.
func picture(ioc, rows int, seed uint64) *image.Gray {
	rng := rand.New(rand.NewPCG(seed, 1))
	w := samples.Columns(ioc)
	m := image.NewGray(image.Rect(0, 0, w, rows))
	draw.Draw(m, m.Rect, image.White, image.Point{}, draw.Src)
	box := func(x, y, w, h int) {
		draw.Draw(m, image.Rect(x, y, x+w, y+h), image.Black, image.Point{}, draw.Src)
	}
	l, r := w*4/100, w*96/100
	box(l, 8, 3, rows-16)
	box(r, 8, 3, rows-16)
	box(l, 8, r-l, 3)
	box(l, rows-11, r-l, 3)
	for range 8 { // isobars
		a, b, c := rng.Float64()*float64(rows), rng.Float64()*100, 1+3*rng.Float64()
		for x := l; x < r; x++ {
			box(x, int(a+b*math.Sin(float64(x)/float64(w)*2*math.Pi*c)), 1, 3)
		}
	}
	for y := 16; y+26 < rows; y += 30 { // lettering
		for x := l + 20 + rng.IntN(100); x+20 < r; x += 14 {
			if rng.IntN(4) == 0 {
				x += rng.IntN(200)
				continue
			}
			for range 3 {
				if rng.IntN(2) == 0 {
					box(x+rng.IntN(8), y, 2, 14)
				} else {
					box(x, y+rng.IntN(12), 9, 2)
				}
			}
		}
	}
	for _, margin := range []image.Rectangle{image.Rect(r+3, 0, w, rows), image.Rect(0, 0, w, 8), image.Rect(0, rows-8, w, rows)} {
		draw.Draw(m, margin, image.White, image.Point{}, draw.Src)
	}
	return m
}

// checkerboard is a picture of squares of n pixels.
func checkerboard(w, h, n int) *image.Gray {
	m := image.NewGray(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			if (x/n+y/n)%2 == 0 {
				m.SetGray(x, y, color.Gray{255})
			}
		}
	}
	return m
}

// trial is a transmission through a simulated path.
type trial struct {
	samples.FaxConfig
	snr  float64 // dB; zero: no noise
	ppm  float64 // of the receiver's clock
	seed uint64
}

// audio makes the trial's audio.
func (c trial) audio(tb testing.TB) ([]float32, *samples.Fax) {
	tb.Helper()
	f, err := samples.NewFax(c.FaxConfig)
	if err != nil {
		tb.Fatal(err)
	}
	var src demod.SampleReader = f
	if c.ppm != 0 {
		if src, err = samples.NewClockError(src, c.ppm); err != nil {
			tb.Fatal(err)
		}
	}
	if c.snr != 0 {
		if src, err = samples.NewNoise(src, samples.NoiseConfig{SNRdB: c.snr, SignalPower: f.Power(), Seed: c.seed}); err != nil {
			tb.Fatal(err)
		}
	}
	x, err := samples.ReadAll(src)
	if err != nil {
		tb.Fatal(err)
	}
	return x, f
}

// lineError is by how much a chart's line start is off, in pixels, and by how many rows its beginning; start is the
// true beginning of the picture, period the true length of a line, both in samples.
func lineError(c *fax.Chart, rate, start, period float64) (pixels, rows float64) {
	d := (c.Origin*rate/fax.VideoRate - start) / period
	rows = math.Round(d)
	return (d - rows) * float64(c.Columns), rows
}

// hear gives the charts in x.
func hear(tb testing.TB, c fax.Config, x ...[]float32) (charts []*fax.Chart) {
	tb.Helper()
	d, err := fax.New(c, fax.Events{Chart: func(c *fax.Chart) { charts = append(charts, c) }})
	if err != nil {
		tb.Fatal(err)
	}
	for _, b := range x {
		d.Write(b)
	}
	d.Flush()
	return charts
}

// figures are the RMS and the greatest of some errors.
type figures struct {
	n           int
	sum, square float64
	worst       float64
}

func (f *figures) add(e float64) {
	f.n++
	f.sum += e
	f.square += e * e
	f.worst = max(f.worst, math.Abs(e))
}

func (f *figures) rms() float64  { return math.Sqrt(f.square / float64(max(f.n, 1))) }
func (f *figures) mean() float64 { return f.sum / float64(max(f.n, 1)) }
