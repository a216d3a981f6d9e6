package survey_test

import (
	"image"
	"image/color"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"ionoscribe/cw"
	"ionoscribe/demod"
	"ionoscribe/fax"
	"ionoscribe/internal/band"
	"ionoscribe/internal/scenario"
	"ionoscribe/rtty"
	"ionoscribe/samples"
	"ionoscribe/survey"
)

const (
	rate  = 12000
	sigma = 0.01 // of noise; 5 dB less than that in 2500 Hz
)

// sent is a signal in a test.
type sent struct {
	src   demod.SampleReader
	power float64
	begin float64 // seconds
	snr   float64 // dB in 2500 Hz
}

func noise(tb testing.TB, seconds float64) []float32 {
	tb.Helper()
	rng := rand.New(rand.NewPCG(1, 1))
	x := make([]float32, int(seconds*rate))
	for i := range x {
		x[i] = float32(sigma * rng.NormFloat64())
	}
	return x
}

// add adds signals to noise.
func add(tb testing.TB, x []float32, signals ...sent) []float32 {
	tb.Helper()
	for _, s := range signals {
		y, err := samples.ReadAll(s.src)
		if err != nil {
			tb.Fatal(err)
		}
		// The noise has sigma² in 6000 Hz.
		gain := float32(math.Sqrt(sigma * sigma * 2500 / 6000 * math.Pow(10, s.snr/10) / s.power))
		for i, v := range y {
			if at := int(s.begin*rate) + i; at < len(x) {
				x[at] += gain * v
			}
		}
	}
	return x
}

func must[T any](tb testing.TB) func(v T, err error) T {
	return func(v T, err error) T {
		tb.Helper()
		if err != nil {
			tb.Fatal(err)
		}
		return v
	}
}

const text = "GALE WARNING OSTREL SEA NORTHWEST 8 LATER 9 VISIBILITY POOR "

// busy is a fax, a teleprinter, Morse and a carrier.
func busy(tb testing.TB) []sent {
	chart := must[*samples.Fax](tb)(samples.NewFax(samples.FaxConfig{Picture: scenario.DenseChart(1810, 40, 1), PhasingSeconds: 10, CentreHz: 1930}))
	tele := must[*samples.RTTY](tb)(samples.NewRTTY(samples.RTTYConfig{Text: strings.Repeat(text, 5), CentreHz: 2900, Baud: 50, Inverted: true}))
	morse := must[*samples.CW](tb)(samples.NewCW(samples.CWConfig{Text: strings.Repeat(text, 2), PitchHz: 650, LeadSeconds: -1, TrailSeconds: -1}))
	carrier := must[*samples.Carrier](tb)(samples.NewCarrier(rate, 1040, 1))
	return []sent{
		{chart, chart.Power(), 8, 12},
		{tele, tele.Power(), 12, 6},
		{morse, morse.Power(), 5, 3},
		{samples.NewLimit(carrier, 30), carrier.Power(), 30, 0},
	}
}

// find surveys audio in blocks of some length.
func find(tb testing.TB, x []float32, block int) (found, ended []survey.Finding) {
	tb.Helper()
	s := must[*survey.Survey](tb)(survey.New(survey.Config{SampleRate: rate}, survey.Events{
		Found: func(f survey.Finding) { found = append(found, f) },
		Ended: func(f survey.Finding) { ended = append(ended, f) },
	}))
	for len(x) > 0 {
		n := min(block, len(x))
		s.Write(x[:n])
		x = x[n:]
	}
	s.Flush()
	return found, ended
}

// Each signal is found once, as what it is, where and when it was sent; in the same way whatever the blocks.
func TestSignals(t *testing.T) {
	signals := busy(t)
	x := add(t, noise(t, 110), signals...)
	found, ended := find(t, slices.Clone(x), len(x))
	want := []survey.Finding{
		{Kind: "fax", Hz: 1930, Settings: fax.Settings{LPM: 120, IOC: 576}, Begin: 8 * rate, SNR: 12},
		{Kind: "rtty", Hz: 2900, Settings: rtty.Settings{Baud: 50, ShiftHz: 170, Polarity: rtty.MarkHigher}, Begin: 12 * rate, SNR: 6},
		{Kind: "cw", Hz: 650, Settings: cw.Settings{WPM: 20}, Begin: 5 * rate, SNR: 3},
		{Kind: survey.Carrier, Hz: 1040, Begin: 30 * rate, SNR: 0},
	}
	lengths := []float64{signals[0].src.(*samples.Fax).Duration(), signals[1].src.(*samples.RTTY).Duration(), signals[2].src.(*samples.CW).Duration(), 30}
	if len(ended) != len(want) || len(found) != len(want) {
		t.Fatalf("%d found, %d ended: %+v", len(found), len(ended), ended)
	}
	for i, w := range want {
		k := slices.IndexFunc(ended, func(f survey.Finding) bool { return f.Kind == w.Kind })
		if k < 0 {
			t.Errorf("no %v: %+v", w.Kind, ended)
			continue
		}
		f := ended[k]
		end := float64(w.Begin) + lengths[i]*rate
		if !near(f.Hz, w.Hz, 1) || !near(float64(f.Begin), float64(w.Begin), 0.3*rate) || !near(float64(f.End), end, 0.5*rate) || !near(f.SNR, w.SNR, 2) ||
			!alike(f.Settings, w.Settings) {
			t.Errorf("%+v ends at %.0f, found %+v", w, end, f)
		}
	}
	for _, block := range []int{479} {
		if _, again := find(t, slices.Clone(x), block); !slices.Equal(again, ended) {
			t.Errorf("blocks of %d: %+v", block, again)
		}
	}
}

func near(a, b, by float64) bool { return math.Abs(a-b) <= by }

// alike says that settings are those wanted, as near as they are measured.
func alike(got, want survey.Settings) bool {
	switch w := want.(type) {
	case rtty.Settings:
		g, ok := got.(rtty.Settings)
		return ok && near(g.Baud, w.Baud, 0.1) && near(g.ShiftHz, w.ShiftHz, 5) && g.Polarity == w.Polarity
	case cw.Settings:
		g, ok := got.(cw.Settings)
		return ok && near(g.WPM, w.WPM, 1)
	}
	return got == want
}

// A band of complex samples, as another package makes it: all is found, at its place, and nothing else; faxes that begin at
// about the same time too.
func TestComplex(t *testing.T) {
	for _, c := range []band.Config{
		{SampleRate: 24000, Seconds: 75, Count: map[string]int{"cw": 2, "rtty": 1, "fax": 1}, LowestSNR: 5, HighestSNR: 20, Seed: 1},
		{SampleRate: 24000, Seconds: 75, Count: map[string]int{"fax": 3}, LowestSNR: 15, HighestSNR: 30, Seed: 2},
	} {
		plan := must[*band.Plan](t)(band.New(c))
		scene := must[*samples.IQScene](t)(plan.Scene())
		var found []survey.Finding
		s := must[*survey.Survey](t)(survey.New(survey.Config{SampleRate: 24000, IQ: true}, survey.Events{Ended: func(f survey.Finding) { found = append(found, f) }}))
		z := make([]complex64, 4096)
		for {
			n, err := scene.ReadIQ(z)
			s.WriteIQ(z[:n])
			if err != nil {
				break
			}
		}
		s.Flush()
		if len(found) != len(plan.Transmissions) {
			t.Errorf("%d found: %+v", len(found), found)
		}
		for _, w := range plan.Transmissions {
			if !slices.ContainsFunc(found, func(f survey.Finding) bool {
				return string(f.Kind) == w.Kind && math.Abs(f.Hz-w.Hz) < 2 && math.Abs(float64(f.Begin)/24000-w.StartSeconds) < 0.5 &&
					math.Abs(float64(f.End)/24000-w.EndSeconds) < 1 && alike(f.Settings, w.Settings)
			}) {
				t.Errorf("%s at %.0f Hz from %.1f to %.1f s is not among %+v", w.Kind, w.Hz, w.StartSeconds, w.EndSeconds, found)
			}
		}
	}
}

// Neither noise nor silence nor what is no number is a signal.
func TestNothing(t *testing.T) {
	odd := make([]float32, 30*rate)
	for i := range odd {
		odd[i] = []float32{float32(math.NaN()), float32(math.Inf(1)), 1e38, 0}[i%4]
	}
	for name, x := range map[string][]float32{"noise": noise(t, 300), "silence": make([]float32, 60*rate), "no numbers": odd} {
		if found, _ := find(t, x, 4096); len(found) > 0 {
			t.Errorf("%s: %+v", name, found)
		}
	}
}

// A hook can have the samples since the beginning of what was found.
func TestSamples(t *testing.T) {
	x := add(t, noise(t, 60), busy(t)[2:3]...)
	asked := false
	var s *survey.Survey
	s = must[*survey.Survey](t)(survey.New(survey.Config{SampleRate: rate}, survey.Events{Found: func(f survey.Finding) {
		asked = true
		if late := float64(s.Total()-f.Begin) / rate; late > 10 {
			t.Errorf("told of %.1f s after it began", late)
		}
		y := make([]float32, s.Total()-f.Begin)
		if n := s.Samples(y, f.Begin); n != len(y) || !slices.Equal(y, x[f.Begin:s.Total()]) {
			t.Errorf("%d samples of %d, or other ones", n, len(y))
		}
		if n := s.Samples(y, s.First()-1); n != 0 {
			t.Errorf("%d samples of what is forgotten", n)
		}
	}}))
	s.Write(x)
	if !asked {
		t.Error("nothing was found")
	}
}

func TestConfig(t *testing.T) {
	for _, c := range []survey.Config{{}, {SampleRate: 5000}, {SampleRate: math.NaN()}, {SampleRate: 1e6}, {SampleRate: rate, LowHz: -100, HighHz: 3000},
		{SampleRate: rate, LowHz: 1000, HighHz: 1100}, {SampleRate: rate, LowHz: 300, HighHz: 7000}} {
		if _, err := survey.New(c, survey.Events{}); err == nil {
			t.Errorf("%+v is valid", c)
		}
	}
	for _, r := range []float64{6000, 8000, 11025, 22050, 44100, 48000, 8012.5} {
		if _, err := survey.New(survey.Config{SampleRate: r}, survey.Events{}); err != nil {
			t.Error(err)
		}
	}
}

// The picture of any length has the same number of columns at most, rising shades, and frames at the edges of the findings.
func TestPicture(t *testing.T) {
	const low, high = 300.0, 3300.0
	var ended []survey.Finding
	s := must[*survey.Survey](t)(survey.New(survey.Config{SampleRate: rate, LowHz: low, HighHz: high}, survey.Events{Ended: func(f survey.Finding) { ended = append(ended, f) }}))
	p := s.Picture()
	empty := p.Image(survey.Axes{})
	if empty.Bounds().Empty() {
		t.Error("no picture of nothing")
	}
	x := add(t, noise(t, 60), busy(t)[2:3]...)
	wide := 0
	for range 8 {
		s.Write(x)
		wide = max(wide, p.Image(survey.Axes{Start: time.Date(2026, 3, 4, 12, 15, 0, 0, time.UTC)}).Bounds().Dx())
	}
	if wide > 1800 {
		t.Errorf("%d pixels wide", wide)
	}
	s.Flush()
	m := p.Image(survey.Axes{Title: "night", Hz: func(hz float64) float64 { return 7878100 - hz }})
	in := image.Rect(92, 40, m.Bounds().Dx()-100, m.Bounds().Dy()-64) // within the margins
	samples := float64(8 * len(x))
	for _, f := range ended {
		left := in.Min.X + int(float64(f.Begin)/samples*float64(in.Dx()))
		right := in.Min.X + int(float64(f.End)/samples*float64(in.Dx()))
		for _, hz := range []float64{f.LowHz, f.HighHz} {
			y := in.Max.Y - int((hz-low)/(high-low)*float64(in.Dy()))
			if part := coloured(m, left, right, y); part < 0.9 {
				t.Errorf("%v at %.0f Hz: %.0f %% of its frame is drawn", f.Kind, hz, 100*part)
			}
		}
	}
	if len(ended) != 1 { // the same text goes on every minute
		t.Errorf("%d findings", len(ended))
	}
}

// coloured is the part of columns that have the colour of Morse within four pixels of a row.
func coloured(m *image.RGBA, left, right, y int) float64 {
	n := 0
	for x := left; x < right; x++ {
		for d := -4; d <= 4; d++ {
			if m.RGBAAt(x, y+d) == (color.RGBA{86, 200, 255, 255}) {
				n++
				break
			}
		}
	}
	return float64(n) / float64(right-left)
}
