package copydesk

import (
	"io"
	"slices"
	"strings"
	"testing"
	"time"

	"ionoscribe/cw"
	"ionoscribe/demod"
	"ionoscribe/internal/scenario"
	"ionoscribe/rtty"
	"ionoscribe/samples"
	"ionoscribe/survey"
)

const testText = "GALE WARNING OSTREL SEA WIND SW 8 BACKING S 9 VISIBILITY 2000 M "

// collect makes a desk whose events are all kept.
func collect(t *testing.T, c Config) (*Desk, *[]Event) {
	t.Helper()
	var all []Event
	s := new(Stream)
	s.Listen(func(e Event) { all = append(all, e) })
	d, err := New(c, s)
	if err != nil {
		t.Fatal(err)
	}
	return d, &all
}

// only are the events of a kind.
func only(all []Event, w What) []Event {
	return slices.DeleteFunc(slices.Clone(all), func(e Event) bool { return e.What != w })
}

// texts joins what was copied of each transmission.
func texts(all []Event) map[int]string {
	of := map[int]string{}
	for _, e := range only(all, Text) {
		of[e.Transmission] += e.Text
	}
	return of
}

// Four charts in a band end in the same second, and none can be drawn before a teleprinter beside them has ended, half a
// minute later. It is copied meanwhile, and then the charts come, each before the end of its transmission.
func TestSamplesDoNotWaitForDrawings(t *testing.T) {
	const rate, lines = 32000, 20 // and 12, 24 and 36 more
	scene := samples.IQSceneConfig{SampleRate: rate, NoiseDensity: 1e-8, Seed: 1}
	add := func(s demod.SampleReader, power, start, dialHz float64) {
		scene.Signals = append(scene.Signals, samples.IQSignal{Source: s, DialHz: dialHz, StartSeconds: start, Gain: samples.IQGain(power, 20, scene.NoiseDensity)})
	}
	const end = 52.0 // seconds
	for i, dial := range []float64{-15000, -10500, 2500, 7000} {
		s, err := samples.NewFax(samples.FaxConfig{Picture: scenario.DenseChart(scenario.Width, lines+12*i, int64(i)), PhasingSeconds: 8, BlackSeconds: 3})
		if err != nil {
			t.Fatal(err)
		}
		add(s, s.Power(), end-s.Duration(), dial)
	}
	printer, err := samples.NewRTTY(samples.RTTYConfig{Text: strings.Repeat(testText, 7)})
	if err != nil {
		t.Fatal(err)
	}
	add(printer, printer.Power(), 4, -4000)
	scene.Seconds = 4 + printer.Duration() + 12
	src, err := samples.NewIQScene(scene)
	if err != nil {
		t.Fatal(err)
	}
	for range cap(drawers) { // no one can draw
		drawers <- struct{}{}
	}
	release := func() {
		for range cap(drawers) {
			<-drawers
		}
	}
	d, all := collect(t, Config{SampleRate: rate, IQ: true, Live: true})
	block := make([]complex64, 4096)
	for err != io.EOF {
		var n int
		n, err = src.ReadIQ(block)
		d.WriteIQ(block[:n])
	}
	if n := len(only(*all, Chart)); n > 0 || len(d.drawings) != 4 {
		t.Errorf("%d charts came, %d wait", n, len(d.drawings))
	}
	// All samples were heard, and what is not drawn has not ended.
	ended := only(*all, Ended)
	text := ""
	for _, s := range texts(*all) {
		text += s
	}
	if d.survey.Total() != int64(scene.Seconds*rate) || strings.Join(strings.Fields(text), " ") != strings.TrimSpace(strings.Repeat(testText, 7)) ||
		slices.ContainsFunc(ended, func(e Event) bool { return e.Finding.Kind == "fax" }) {
		t.Errorf("%d samples, %d ended, %q", d.survey.Total(), len(ended), text)
	}
	release()
	d.Flush()
	charts := map[int]bool{}
	for _, e := range *all {
		switch {
		case e.What == Chart && (e.Chart.Rows < lines-2 || e.Chart.Rows > lines+36+8):
			t.Errorf("a chart of %d rows", e.Chart.Rows)
		case e.What == Chart:
			charts[e.Transmission] = true
		case e.What == Ended && e.Finding.Kind == "fax" && !charts[e.Transmission]:
			t.Errorf("transmission %d ended before its chart came", e.Transmission)
		case e.What == Trouble:
			t.Error(e.Err)
		}
	}
	if len(charts) != 4 {
		t.Errorf("%d charts", len(charts))
	}
}

// broken is a decoder with a fault.
type broken struct{ after int }

func (b *broken) Write(block []float32) {
	if b.after -= len(block); b.after < 0 {
		panic("index out of range")
	}
}
func (b *broken) Flush() { panic("index out of range") }

// A decoder that panics ends its copy, and no other one.
func TestPanic(t *testing.T) {
	const rate = 12000
	x := twoPrinters(t, rate)
	d, all := collect(t, Config{SampleRate: rate, Source: "receiver", Time: func(at int64) time.Time { return time.Unix(at/rate, 0) }})
	failed := 0
	for block := range slices.Chunk(x, 6000) {
		d.Write(block)
		if c := d.Copies(); failed == 0 && len(c) == 2 {
			failed = c[0].Transmission()
			c[0].decoder = &broken{3 * rate}
		}
	}
	d.Flush()
	trouble := only(*all, Trouble)
	if len(trouble) != 1 || trouble[0].Transmission != failed || failed == 0 || !strings.Contains(trouble[0].Err.Error(), "index out of range") {
		t.Errorf("transmission %d: %+v", failed, trouble)
	}
	if ended := only(*all, Ended); len(ended) != 2 {
		t.Errorf("%d ended", len(ended))
	}
	for n, text := range texts(*all) {
		if n != failed && text != strings.TrimSpace(testText)+"\n" && text != testText {
			t.Errorf("the other one: %q", text)
		}
	}
	for i, e := range *all {
		if e.Number != int64(i+1) || e.Source != "receiver" || e.UTC.Unix() != e.At/rate || e.At < 0 {
			t.Errorf("%+v", e)
		}
	}
}

// twoPrinters are two teleprinters at the same time.
func twoPrinters(t *testing.T, rate float64) []float32 {
	t.Helper()
	var x []float32
	for i, hz := range []float64{800, 2400} {
		s, err := samples.NewRTTY(samples.RTTYConfig{Text: testText, SampleRate: rate, CentreHz: hz, TrailSeconds: 4})
		if err != nil {
			t.Fatal(err)
		}
		n, err := samples.NewNoise(s, samples.NoiseConfig{SNRdB: 20, SignalPower: s.Power(), Seed: uint64(i)})
		if err != nil {
			t.Fatal(err)
		}
		y, err := samples.ReadAll(n)
		if err != nil {
			t.Fatal(err)
		}
		if x == nil {
			x = make([]float32, len(y)+12*int(rate))
		}
		for k, v := range y {
			x[k] += v
		}
	}
	return x
}

// More than mostCopies are not copied; that is told once, and again when there were fewer in between.
func TestBound(t *testing.T) {
	d, all := collect(t, Config{SampleRate: 12000})
	find := func(id int) {
		d.found(survey.Finding{ID: id, Kind: "cw", Hz: 300 + 25*float64(id%100), Settings: cw.Settings{WPM: 20}})
	}
	for id := 1; id <= mostCopies+2; id++ {
		find(id)
	}
	d.ended(survey.Finding{ID: 1, Kind: "cw"})
	find(mostCopies + 1) // is known better, and now there is room
	find(mostCopies + 2)
	trouble := only(*all, Trouble)
	if len(d.Copies()) != mostCopies || len(trouble) != 2 || !strings.Contains(trouble[0].Err.Error(), "no more at a time") {
		t.Errorf("%d copies, %+v", len(d.Copies()), trouble)
	}
}

// What was lost is told where it was, once.
func TestGap(t *testing.T) {
	d, all := collect(t, Config{SampleRate: 12000})
	for _, lost := range []int64{0, 1200, 0, 5000, 5000, 0} {
		d.Write(make([]float32, 5000))
		d.Lost(lost)
	}
	for range 30 { // a long one is told of while it goes on
		d.Write(make([]float32, 5000))
		d.Lost(5000)
	}
	d.Flush()
	gaps := only(*all, Gap)
	if len(gaps) != 4 {
		t.Fatalf("%+v", gaps)
	}
	for i, want := range []Event{{At: 8800, Lost: 1200, Over: true}, {At: 15000, Lost: 10000, Over: true}, {At: 30000, Lost: 125000}, {At: 30000, Lost: 150000, Over: true}} {
		if g := gaps[i]; g.At != want.At || g.Lost != want.Lost || g.Over != want.Over {
			t.Errorf("%+v, want %+v", g, want)
		}
	}
}

// A teleprinter that changes its speed without a pause is copied on at the new one.
func TestSettingsReachTheDecoder(t *testing.T) {
	if testing.Short() {
		t.Skip("long, and the goroutines are those of other tests")
	}
	const rate = 12000
	var parts []demod.SampleReader
	power := 0.0
	for _, baud := range []float64{50, 75, 50} {
		s, err := samples.NewRTTY(samples.RTTYConfig{Text: strings.Repeat(testText, 5), SampleRate: rate, Baud: baud, LeadSeconds: -1, TrailSeconds: -1})
		if err != nil {
			t.Fatal(err)
		}
		parts, power = append(parts, s), s.Power()
	}
	parts = append(parts, samples.Silence(rate, 12))
	src, err := samples.Concat(parts...)
	if err != nil {
		t.Fatal(err)
	}
	noisy, err := samples.NewNoise(src, samples.NoiseConfig{SNRdB: 15, SignalPower: power, Seed: 1})
	if err != nil {
		t.Fatal(err)
	}
	x, err := samples.ReadAll(noisy)
	if err != nil {
		t.Fatal(err)
	}
	d, all := collect(t, Config{SampleRate: rate})
	d.Write(x)
	d.Flush()
	var speeds []float64
	for _, e := range *all {
		if e.What != Changed || e.Heard == nil || e.Heard.Lost {
			continue
		}
		if s := e.Heard.Settings.(rtty.Settings); len(speeds) == 0 || speeds[len(speeds)-1] != s.Baud {
			speeds = append(speeds, s.Baud)
		}
	}
	text := texts(*all)[1]
	if n := strings.Count(text, "WIND SW 8 BACKING S 9 VISIBILITY 2000 M"); n != 15 || !slices.Equal(speeds, []float64{50, 75, 50}) {
		t.Errorf("%d of 15 sentences, at %v Bd: %q", n, speeds, text)
	}
}
