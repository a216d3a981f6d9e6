package samples

import (
	"errors"
	"image"
	"image/color"
	"io"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/mjibson/go-dsp/spectral"
)

var rates = []float64{8000, 11025, 12000, 48000}

// only leaves out everything but the picture, unless the caller sets it.
func only(c FaxConfig) FaxConfig {
	for _, s := range []*float64{&c.StartSeconds, &c.PhasingSeconds, &c.StopSeconds, &c.BlackSeconds} {
		if *s == 0 {
			*s = -1
		}
	}
	return c
}

// Sub-carrier 1900 Hz, black 1500, white 2300 Hz (Australian Bureau of Meteorology broadcast notes); on LF
// ±150 Hz (CCIR Rec. 343-1, from memory); grey in proportion (WMO-No. 386 part III-5, from memory).
func TestFrequencies(t *testing.T) {
	for _, rate := range rates {
		for _, c := range []struct {
			grey      uint8
			deviation float64
			inverted  bool
			want      float64
		}{
			{0, 0, false, 1500}, {255, 0, false, 2300}, {0, 0, true, 2300}, {255, 0, true, 1500},
			{0, 150, false, 1750}, {255, 150, false, 2050}, {51, 0, false, 1660},
		} {
			f := mustFax(t, only(FaxConfig{Picture: plain(1810, 20, c.grey), SampleRate: rate, DeviationHz: c.deviation, Inverted: c.inverted}))
			if got := crossingHz(mustRead(t, f), rate); math.Abs(got-c.want) > 0.02 {
				t.Errorf("rate %v, grey %d, deviation %v, inverted %v: %.4f Hz, want %v", rate, c.grey, c.deviation, c.inverted, got, c.want)
			}
		}
	}
}

// Start 300 Hz for 576 and 675 Hz for 288, 5 s (ISO 9876:2015, 3.5; broadcast notes 5 s); stop 450 Hz for 5 s,
// then 10 s of black (WMO-No. 386, from memory). The standard allows 1 % (from memory).
func TestControlTones(t *testing.T) {
	for _, rate := range rates {
		for _, c := range []struct {
			ioc         int
			start, stop float64
			want        float64
		}{{576, 5, -1, 300}, {288, 5, -1, 675}, {576, -1, 5, 450}, {288, -1, 5, 450}} {
			f := mustFax(t, only(FaxConfig{Picture: plain(Columns(c.ioc), 1, 255), SampleRate: rate, IOC: c.ioc, StartSeconds: c.start, StopSeconds: c.stop}))
			x := mustRead(t, f)
			from := 0
			if c.stop > 0 {
				from = int(rate / 2) // the line of the picture
			}
			x = x[from : from+int(5*rate)]
			if got := strongestHz(momentaryHz(x, rate), rate); math.Abs(got-c.want) > 0.25 {
				t.Errorf("rate %v, IOC %d: alternation of %.2f Hz, want %v", rate, c.ioc, got, c.want)
			}
		}
	}
	f := mustFax(t, FaxConfig{Picture: plain(1810, 10, 255)})
	if f.PictureStart() != 35 || f.Duration() != 35+5+5+10 {
		t.Errorf("picture starts at %v s of %v s", f.PictureStart(), f.Duration())
	}
	x := mustRead(t, f)
	if got := crossingHz(x[len(x)-9*12000:], 12000); math.Abs(got-1500) > 0.01 {
		t.Errorf("the end has %v Hz, want black", got)
	}
}

// Phasing of 30 s: a cycle a line; white 5 % and black 95 %, or half and half (ISO 9876:2015, 3.8): 25 and 475 ms
// at 120 lines a minute. Line rate within 5 in 10^6 (broadcast notes).
func TestPhasing(t *testing.T) {
	const rate = 24000
	for _, c := range []struct {
		lpm   float64
		form  Phasing
		white float64 // ms a line
	}{{60, WhitePulse, 50}, {90, WhitePulse, 100. / 3}, {120, WhitePulse, 25}, {240, WhitePulse, 12.5}, {120, BlackPulse, 475}, {120, HalfAndHalf, 250}} {
		f := mustFax(t, only(FaxConfig{Picture: plain(1810, 1, 0), SampleRate: rate, LPM: c.lpm, Phasing: c.form, PhasingSeconds: 30}))
		x := mustRead(t, f)
		p := pulses(momentaryHz(x, rate), 1900)
		line := 60 / c.lpm
		if lines := int(30 / line); len(p) < lines-1 || len(p) > lines+1 {
			t.Errorf("%v lines/min, form %d: %d pulses in %d lines", c.lpm, c.form, len(p), lines)
			continue
		}
		p = p[2 : len(p)-2]
		sum := 0.0
		for _, q := range p {
			sum += (q[1] - q[0]) / rate * 1000 / float64(len(p))
		}
		if math.Abs(sum-c.white) > 0.1 {
			t.Errorf("%v lines/min, form %d: white for %.3f ms, want %.3f", c.lpm, c.form, sum, c.white)
		}
		first, last := p[0], p[len(p)-1]
		period := (last[0] + last[1] - first[0] - first[1]) / 2 / rate / float64(len(p)-1)
		if math.Abs(period/line-1) > 5e-6 {
			t.Errorf("%v lines/min: line of %.7f s", c.lpm, period)
		}
		start := (first[0] + first[1]) / 2 / rate / line // in lines: the middle of a white pulse is the seam
		switch c.form {
		case BlackPulse:
			start -= 0.5
		case HalfAndHalf:
			start = first[1] / rate / line
		}
		if d := math.Abs(start - math.Round(start)); d*line > 30e-6 {
			t.Errorf("%v lines/min, form %d: seam at line %.5f", c.lpm, c.form, start)
		}
	}
}

// The textbook formula of frequency modulation, A·sin(2π∫f dt), with the integral summed column by column.
func TestExactPhase(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for _, rate := range rates {
		m := image.NewGray(image.Rect(0, 0, 1810, 3))
		for i := range m.Pix {
			m.Pix[i] = uint8(rng.IntN(256))
		}
		f := mustFax(t, only(FaxConfig{Picture: m, SampleRate: rate, BlackSeconds: 0.1}))
		x := mustRead(t, f)
		column := 0.5 / 1810 // s
		for n, got := range x {
			at, integral := float64(n)/rate, 0.0
			whole := min(int(at/column), len(m.Pix))
			// Summed afresh in steps that would hide nothing: every 97th sample.
			if n%97 != 0 {
				continue
			}
			for _, g := range m.Pix[:whole] {
				integral += (1500 + 800*float64(g)/255) * column
			}
			hz := 1500.0
			if whole < len(m.Pix) {
				hz += 800 * float64(m.Pix[whole]) / 255
			}
			integral += hz * (at - float64(whole)*column)
			if want := 0.25 * math.Sin(2*math.Pi*integral); math.Abs(float64(got)-want) > 1e-6 {
				t.Fatalf("rate %v, sample %d: %v, want %v", rate, n, got, want)
			}
		}
	}
}

// Half black and half white gives 950 cycles a line, so after ten minutes the phase is back at zero.
func TestNoDrift(t *testing.T) {
	m := image.NewGray(image.Rect(0, 0, 1810, 1200))
	for i := range m.Pix {
		m.Pix[i] = uint8(i%2) * 255
	}
	f := mustFax(t, only(FaxConfig{Picture: m, SampleRate: 8000, BlackSeconds: 0.01}))
	x := mustRead(t, NewSkip(f, 600))
	for i, v := range x {
		if want := 0.25 * math.Sin(2*math.Pi*1500*float64(i)/8000); math.Abs(float64(v)-want) > 1e-6 {
			t.Fatalf("sample %d of the black: %v, want %v", i, v, want)
		}
	}
	if len(x) != 80 {
		t.Errorf("%d samples of black, want 80", len(x))
	}
}

// π·576 = 1809.56 and π·288 = 904.78 elements a line. A black bar of ten columns is found where it was drawn.
func TestElements(t *testing.T) {
	for ioc, want := range map[int]float64{576: 1809.56, 288: 904.78} {
		n := Columns(ioc)
		if math.Abs(float64(n)-want) > 0.5 {
			t.Errorf("IOC %d: %d columns", ioc, n)
		}
		m := plain(n, 4, 0)
		for y := range 4 {
			for x := 600; x < 610; x++ {
				m.SetGray(x, y, color.Gray{Y: 255})
			}
		}
		const rate = 48000
		f := mustFax(t, only(FaxConfig{Picture: m, IOC: ioc, SampleRate: rate}))
		// The transform takes the signal for periodic, so the seam of its ends gives clicks shorter than a bar.
		p := slices.DeleteFunc(pulses(momentaryHz(mustRead(t, f), rate), 1900), func(q [2]float64) bool { return q[1]-q[0] < 5*rate/2/float64(n) })
		if len(p) != 4 {
			t.Fatalf("IOC %d: %d bars", ioc, len(p))
		}
		for i, q := range p {
			a, b := (q[0]/rate/0.5-float64(i))*float64(n), (q[1]/rate/0.5-float64(i))*float64(n)
			if math.Abs(a-600) > 0.15 || math.Abs(b-610) > 0.15 {
				t.Errorf("IOC %d, line %d: bar from column %.2f to %.2f", ioc, i, a, b)
			}
		}
	}
}

// A picture of another width lies between halves of a white dead sector of 4.5 % ± 0.5 % (WMO-No. 386, from
// memory), and its elements stay square.
func TestScaledPicture(t *testing.T) {
	for _, c := range []struct{ w, h, ioc int }{{900, 400, 576}, {2500, 1800, 576}, {905, 300, 576}, {33, 7, 288}} {
		p, err := newPaper(plain(c.w, c.h, 0), Columns(c.ioc))
		if err != nil {
			t.Fatal(err)
		}
		live := 0.955 * math.Pi * float64(c.ioc)
		if want := live * float64(c.h) / float64(c.w); math.Abs(float64(p.lines)-want) > 1 {
			t.Errorf("%v: %d lines, want %.1f", c, p.lines, want)
		}
		p.load(p.lines / 2)
		left, right := 0, 0
		for p.row.Pix[left] > 127 {
			left++
		}
		for p.row.Pix[p.columns-1-right] > 127 {
			right++
		}
		if dead := float64(left+right) / float64(p.columns); math.Abs(dead-0.045) > 0.005 || left-right > 1 || right > left {
			t.Errorf("%v: %d and %d white columns", c, left, right)
		}
	}
}

// Any kind of image gives the greys of its luminance over white paper.
func TestPictureKinds(t *testing.T) {
	rgba := image.NewNRGBA(image.Rect(5, 7, 5+905, 9))
	rgba.Set(5, 8, color.NRGBA{0, 0, 0, 255})
	rgba.Set(6, 8, color.NRGBA{255, 255, 255, 255})
	rgba.Set(7, 8, color.NRGBA{0, 0, 0, 128})
	pal := image.NewPaletted(image.Rect(0, 0, 905, 2), color.Palette{color.White, color.Black, color.Gray{Y: 127}})
	copy(pal.Pix[905:], []uint8{1, 0, 2, 0})
	for _, m := range []image.Image{rgba, pal, image.NewGray(image.Rect(0, 0, 2000, 5)).SubImage(image.Rect(1000, 3, 1905, 5))} {
		p, err := newPaper(m, 905)
		if err != nil {
			t.Fatal(err)
		}
		p.load(1)
		want := []uint8{0, 255, 127, 255}
		if _, ok := m.(*image.Gray); ok {
			want = []uint8{0, 0, 0, 0}
		}
		for i, w := range want {
			if p.row.Pix[i] != w {
				t.Errorf("%T: element %d is %d, want %d", m, i, p.row.Pix[i], w)
			}
		}
	}
}

// Necessary bandwidth of F3C, ITU-R SM.1138-3 (from memory): 2M + 2DK, M = N/2, K = 1.1; its example has
// N = 1100 elements a second, D = 400 Hz: 1980 Hz. At IOC 576 and 120 lines/min N = 3619: 4499 Hz. The
// bandwidth that holds 99 % of the power (Radio Regulations 1.153) of the finest picture must not exceed it.
func TestNecessaryBandwidth(t *testing.T) {
	necessary := func(n, d float64) float64 { return 2*(n/2) + 2*d*1.1 }
	if necessary(1100, 400) != 1980 {
		t.Errorf("the example of SM.1138-3 gives %v Hz", necessary(1100, 400))
	}
	limit := necessary(math.Pi*576*2, 400)
	if math.Abs(limit-4499) > 0.5 {
		t.Errorf("limit %v Hz", limit)
	}
	m := image.NewGray(image.Rect(0, 0, 1810, 20))
	for i := range m.Pix {
		m.Pix[i] = uint8(i%2) * 255
	}
	const rate, centre = 48000, 12000
	x := mustRead(t, mustFax(t, only(FaxConfig{Picture: m, SampleRate: rate, CentreHz: centre})))
	in := make([]float64, len(x))
	for i, v := range x {
		in[i] = float64(v)
	}
	power, hz := spectral.Pwelch(in, rate, &spectral.PwelchOptions{NFFT: 4096})
	total, within := 0.0, 0.0
	for i, p := range power {
		total += p
		if math.Abs(hz[i]-centre) <= limit/2 {
			within += p
		}
	}
	if within/total < 0.99 {
		t.Errorf("%.2f %% of the power within %.0f Hz", 100*within/total, limit)
	}
}

func TestFaxErrors(t *testing.T) {
	m := plain(10, 10, 0)
	for name, c := range map[string]FaxConfig{
		"no picture": {}, "empty": {Picture: image.NewGray(image.Rectangle{})}, "ioc": {Picture: m, IOC: 300},
		"lpm": {Picture: m, LPM: 100}, "rate": {Picture: m, SampleRate: 4000}, "nan": {Picture: m, SampleRate: math.NaN()},
		"deviation": {Picture: m, DeviationHz: -1}, "wide": {Picture: m, DeviationHz: 2000}, "amplitude": {Picture: m, Amplitude: 2},
		"start": {Picture: m, StartSeconds: math.Inf(1)}, "phasing": {Picture: m, Phasing: 9}, "tall": {Picture: plain(1, 4000, 0)},
		"huge": {Picture: image.NewUniform(color.White)},
	} {
		if f, err := NewFax(c); err == nil {
			t.Errorf("%s: no error, %v s", name, f.Duration())
		}
	}
}

func TestFaxReadsAndAllocations(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	m := image.NewNRGBA(image.Rect(0, 0, 905, 5))
	for i := range m.Pix {
		m.Pix[i] = uint8(rng.IntN(256))
	}
	config := FaxConfig{Picture: m, IOC: 288, SampleRate: 11025, StartSeconds: 0.1, PhasingSeconds: 1, StopSeconds: 0.1, BlackSeconds: 0.1}
	whole := mustRead(t, mustFax(t, config))
	for _, size := range []int{1, 7, 479, 0} {
		f := mustFax(t, config)
		checkReads(t, f, whole, size)
		if n, err := f.ReadSamples(make([]float32, 3)); n != 0 || !errors.Is(err, io.EOF) {
			t.Errorf("after the end: %d, %v", n, err)
		}
	}
	f := mustFax(t, config)
	buf := make([]float32, 512)
	if n := testing.AllocsPerRun(50, func() { f.ReadSamples(buf) }); n != 0 {
		t.Errorf("%v allocations a read", n)
	}
}
