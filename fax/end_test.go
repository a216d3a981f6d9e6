package fax_test

import (
	"image"
	"image/draw"
	"math"
	"math/rand/v2"
	"testing"

	"ionoscribe/demod"
	"ionoscribe/fax"
	"ionoscribe/samples"
)

const endRate = 8000

// send makes the audio of a transmission at 10 dB SNR.
func send(t *testing.T, c samples.FaxConfig, seed uint64) ([]float32, *samples.Fax) {
	t.Helper()
	c.SampleRate = endRate
	return trial{FaxConfig: c, snr: 10, ppm: 20, seed: seed}.audio(t)
}

// quiet is background noise of the same density as that of send.
func quiet(seconds float64, seed uint64) []float32 {
	return spoil(make([]float32, int(seconds*endRate)), endRate, 10, rand.New(rand.NewPCG(seed, 9)))
}

// checkChart checks how a chart began and ended, that it has the rows that were sent, but for loose ones at its
// end, and that the picture lies over the one that was sent.
func checkChart(t *testing.T, c *fax.Chart, began fax.Began, ended fax.Ended, sent *image.Gray, loose int) {
	t.Helper()
	if c.Began != began || c.Ended != ended {
		t.Errorf("%q to %q, want %q to %q", c.Began, c.Ended, began, ended)
	}
	rows := sent.Rect.Dy()
	if c.Rows < rows-loose || c.Rows > rows+loose || c.Image.Rect.Dy() != c.Rows || len(c.Quality) != c.Rows {
		t.Errorf("%d rows (image of %d, quality of %d), want %d ± %d", c.Rows, c.Image.Rect.Dy(), len(c.Quality), rows, loose)
	}
	if d := likeness(sent, c.Image, 0, 0); d < 0.8 {
		t.Errorf("likeness with what was sent %.2f", d)
	}
	if n := float64(c.End-c.Start) - float64(c.Rows)*c.Period*endRate/fax.VideoRate; math.Abs(n) > 1.5 {
		t.Errorf("%d rows of %.3f video samples end %.1f samples late", c.Rows, c.Period, n)
	}
}

// likeness is the correlation of two pictures where they overlap, b being shifted.
func likeness(a, b *image.Gray, dx, dy int) float64 {
	var n, sa, sb, aa, bb, ab float64
	for y := range min(a.Rect.Dy(), b.Rect.Dy()-dy) {
		for x := range min(a.Rect.Dx(), b.Rect.Dx()-dx) {
			p, q := float64(a.Pix[y*a.Stride+x]), float64(b.Pix[(y+dy)*b.Stride+x+dx])
			n, sa, sb, aa, bb, ab = n+1, sa+p, sb+q, aa+p*p, bb+q*q, ab+p*q
		}
	}
	return (n*ab - sa*sb) / math.Sqrt((n*aa-sa*sa)*(n*bb-sb*sb)+1e-9)
}

func config() fax.Config { return fax.Config{SampleRate: endRate} }

// plainConfig draws without restoration, for tests of where charts begin and end: that is decided before they are drawn.
func plainConfig() fax.Config { return fax.Config{SampleRate: endRate, Plain: true} }

func TestEndsWithStopTone(t *testing.T) {
	m := picture(576, 100, 1)
	x, _ := send(t, samples.FaxConfig{Picture: m}, 1)
	charts := hear(t, config(), quiet(3, 1), x, quiet(20, 2))
	if len(charts) != 1 {
		t.Fatalf("%d charts", len(charts))
	}
	checkChart(t, charts[0], fax.BeganStartTone, fax.EndedStopTone, m, 0)
}

func TestEndsWithInput(t *testing.T) {
	m := picture(576, 100, 2)
	x, _ := send(t, samples.FaxConfig{Picture: m, StopSeconds: -1, BlackSeconds: -1}, 2)
	charts := hear(t, config(), quiet(3, 1), x)
	if len(charts) != 1 {
		t.Fatalf("%d charts", len(charts))
	}
	checkChart(t, charts[0], fax.BeganStartTone, fax.EndedInput, m, 0)
}

// The signal goes away in the middle of the chart: what was received is a chart, which ends where the signal did, to
// the 2 s in which it is looked for.
func TestEndsWithLossOfSignal(t *testing.T) {
	m := picture(576, 100, 3)
	x, _ := send(t, samples.FaxConfig{Picture: m, StopSeconds: -1, BlackSeconds: -1}, 3)
	for _, loss := range []float64{5, 0, 60} { // 0 is 30 s
		c := plainConfig()
		c.LossSeconds = loss
		lost := loss
		if loss == 0 {
			lost = 30
		}
		// The agreement window is 20 s, the looks are 2.5 s apart.
		charts := hear(t, c, quiet(3, 1), x, quiet(lost+40, 2))
		if len(charts) != 1 {
			t.Errorf("loss time %v s: %d charts", loss, len(charts))
			continue
		}
		checkChart(t, charts[0], fax.BeganStartTone, fax.EndedLost, m, 4)
		// And a gap that is much shorter is part of the chart.
		if lost < 30 {
			continue
		}
		half := len(x) * 2 / 3
		charts = hear(t, c, quiet(3, 1), x[:half], quiet(lost-25, 4), x[half:])
		if len(charts) != 1 {
			t.Errorf("loss time %v s, gap of %v s: %d charts", loss, lost-25, len(charts))
		}
	}
}

// The next transmission begins and no stop tone was heard.
func TestEndsWithStartTone(t *testing.T) {
	m, n := picture(576, 100, 4), picture(288, 80, 5)
	x, _ := send(t, samples.FaxConfig{Picture: m, StopSeconds: -1, BlackSeconds: -1}, 4)
	y, _ := send(t, samples.FaxConfig{Picture: n, IOC: 288}, 5)
	charts := hear(t, config(), x, y)
	if len(charts) != 2 {
		t.Fatalf("%d charts", len(charts))
	}
	checkChart(t, charts[0], fax.BeganStartTone, fax.EndedStartTone, m, 0)
	checkChart(t, charts[1], fax.BeganStartTone, fax.EndedStopTone, n, 0)
	if charts[1].IOC != 288 {
		t.Errorf("IOC %d", charts[1].IOC)
	}
}

// Several charts in one recording, of different form, with pauses between; TestLongSeveralCharts restores them.
func TestSeveralCharts(t *testing.T) {
	severalCharts(t, 0.01, plainConfig())
	severalCharts(t, 90, plainConfig())
}

// severalCharts has a pause in seconds before each of them.
func severalCharts(t *testing.T, pause float64, c fax.Config) {
	t.Helper()
	forms := []samples.FaxConfig{
		{Picture: picture(576, 90, 6)},
		{Picture: picture(576, 60, 7), LPM: 60, Phasing: samples.BlackPulse, Inverted: true},
		{Picture: picture(288, 100, 8), IOC: 288, Phasing: samples.HalfAndHalf},
		{Picture: picture(576, 160, 9), LPM: 240},
		{Picture: picture(576, 70, 10), LPM: 90},
	}
	var all [][]float32
	at := 0
	var starts []float64
	for i, f := range forms {
		x, sent := send(t, f, uint64(i))
		p := quiet(pause, uint64(i))
		all = append(all, p, x)
		starts = append(starts, float64(at+len(p))+sent.PictureStart()*endRate*(1+20e-6))
		at += len(p) + len(x)
	}
	charts := hear(t, c, all...)
	if len(charts) != len(forms) {
		t.Errorf("pause of %v s: %d charts instead of %d", pause, len(charts), len(forms))
		return
	}
	for i, c := range charts {
		checkChart(t, c, fax.BeganStartTone, fax.EndedStopTone, forms[i].Picture.(*image.Gray), 0)
		lpm := forms[i].LPM
		if lpm == 0 {
			lpm = 120
		}
		if c.LPM != lpm || c.Inverted != forms[i].Inverted {
			t.Errorf("chart %d: %v lines a minute, inverted %v", i, c.LPM, c.Inverted)
		}
		if d := float64(c.Start) - starts[i]; math.Abs(d) > 4 {
			t.Errorf("pause of %v s, chart %d starts %.1f samples late", pause, i, d)
		}
	}
}

// The receiver is switched on in the middle of phasing and in the middle of the picture.
func TestJoinedLate(t *testing.T) {
	m := picture(576, 160, 11)
	x, sent := send(t, samples.FaxConfig{Picture: m}, 6)
	charts := hear(t, config(), x[12*endRate:])
	if len(charts) != 1 {
		t.Fatalf("in phasing: %d charts", len(charts))
	}
	checkChart(t, charts[0], fax.BeganPhasing, fax.EndedStopTone, m, 0)

	const skip = 20.25 // rows, of half a second
	from := int((sent.PictureStart() + skip/2) * endRate)
	charts = hear(t, config(), x[from:])
	if len(charts) != 1 {
		t.Fatalf("in the picture: %d charts", len(charts))
	}
	c := charts[0]
	if c.Began != fax.BeganJoined || c.Ended != fax.EndedStopTone || c.PhaseMeasured || c.Inverted {
		t.Errorf("%q to %q, phase measured %v, inverted %v", c.Began, c.Ended, c.PhaseMeasured, c.Inverted)
	}
	// The first line is cut; its rest may be a row.
	first := 160 - c.Rows
	if first != 20 && first != 21 {
		t.Fatalf("%d rows of %d", c.Rows, 160)
	}
	rest := image.NewGray(image.Rect(0, 0, 1810, c.Rows-1))
	draw.Draw(rest, rest.Rect, m, image.Pt(0, first+1), draw.Src)
	best, bx := -1.0, 0
	for dx := -30; dx <= 30; dx++ {
		if l := likeness(shifted(rest, dx), c.Image, 0, 1); l > best {
			best, bx = l, dx
		}
	}
	t.Logf("joined late: %d rows, likeness %.3f at a shift of %d pixels", c.Rows, best, bx)
	if best < 0.8 || bx < -9 || bx > 9 { // half of the tolerance of the dead sector (0.5 % of the line)
		t.Errorf("likeness %.3f at a shift of %d pixels", best, bx)
	}
}

// shifted is m turned by dx pixels.
func shifted(m *image.Gray, dx int) *image.Gray {
	w := m.Rect.Dx()
	out := image.NewGray(m.Rect)
	for y := range m.Rect.Dy() {
		for x := range w {
			out.Pix[y*out.Stride+(x+dx+w)%w] = m.Pix[y*m.Stride+x]
		}
	}
	return out
}

// Without noise and without restoration every row is as it was sent: squares of 20 pixels, read in their middles.
func TestRowsAsSent(t *testing.T) {
	m := checkerboard(1810, 120, 20)
	draw.Draw(m, image.Rect(0, 0, 60, 120), image.White, image.Point{}, draw.Src)
	draw.Draw(m, image.Rect(1760, 0, 1810, 120), image.White, image.Point{}, draw.Src)
	f, err := samples.NewFax(samples.FaxConfig{Picture: m, SampleRate: 12000})
	if err != nil {
		t.Fatal(err)
	}
	x, err := samples.ReadAll(demod.SampleReader(f))
	if err != nil {
		t.Fatal(err)
	}
	for _, plain := range []bool{true, false} {
		charts := hear(t, fax.Config{SampleRate: 12000, Plain: plain}, x)
		if len(charts) != 1 || charts[0].Rows != 120 {
			t.Fatalf("plain %v: %d charts, of %d rows", plain, len(charts), charts[0].Rows)
		}
		wrong := 0
		for y := range 120 {
			for i := 10; i < 1800; i += 20 {
				if d := int(charts[0].Image.GrayAt(i, y).Y) - int(m.GrayAt(i, y).Y); d > 40 || d < -40 {
					wrong++
				}
			}
		}
		if wrong > 0 {
			t.Errorf("plain %v: %d of %d squares are wrong", plain, wrong, 120*90)
		}
	}
}

// After the stop tone nothing more comes, neither of its black nor of what is remembered of a short, fast chart.
func TestNothingAfterStop(t *testing.T) {
	m := picture(576, 48, 12)
	x, _ := send(t, samples.FaxConfig{Picture: m, LPM: 240, Phasing: samples.BlackPulse}, 7)
	for _, seconds := range []float64{0, 3, 10, 60} {
		if charts := hear(t, plainConfig(), x, quiet(seconds, 3)); len(charts) != 1 {
			t.Errorf("%d charts with %v s behind", len(charts), seconds)
		}
	}
}

// A sender that leaves its carrier on without a stop tone does not keep the chart open: blank paper has margins, an
// idle carrier has none.
func TestIdleCarrierEndsChart(t *testing.T) {
	p := picture(576, 60, 5)
	x, _ := send(t, samples.FaxConfig{Picture: p, StopSeconds: -1, BlackSeconds: 200}, 5)
	charts := hear(t, plainConfig(), x)
	if len(charts) != 1 {
		t.Fatalf("%d charts", len(charts))
	}
	if c := charts[0]; c.Ended != fax.EndedLost || c.Rows < 60 || c.Rows > 60+50 { // 20 s of agreement look back, and half as much again
		t.Errorf("%q after %d rows of 60", c.Ended, c.Rows)
	}
}
