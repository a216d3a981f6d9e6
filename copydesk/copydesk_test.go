package copydesk_test

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"testing"

	"ionoscribe/copydesk"
	"ionoscribe/fax"
	"ionoscribe/internal/band"
	"ionoscribe/internal/nearest"
	"ionoscribe/internal/scenario"
	"ionoscribe/samples"
	"ionoscribe/survey"
)

// copied is what came of one transmission.
type copied struct {
	survey.Finding
	text   string
	charts []*fax.Chart
}

// listener collects what a desk says.
func listener(c copydesk.Config, tb testing.TB) (*copydesk.Desk, *[]copied) {
	texts := map[int]*copied{}
	var all []copied
	number := int64(0)
	var stream copydesk.Stream
	stream.Listen(func(e copydesk.Event) {
		if number++; e.Number != number {
			tb.Errorf("event %d has the number %d", number, e.Number)
		}
		x := texts[e.Transmission]
		switch e.What {
		case copydesk.Began:
			texts[e.Transmission] = new(copied)
		case copydesk.Text:
			x.text += e.Text
		case copydesk.Chart:
			x.charts = append(x.charts, e.Chart)
		case copydesk.Ended:
			if x.Finding = e.Finding; e.Copied {
				all = append(all, *x)
			}
			delete(texts, e.Transmission)
		case copydesk.Trouble:
			tb.Error(e.Err)
		}
	})
	d, err := copydesk.New(c, &stream)
	if err != nil {
		tb.Fatal(err)
	}
	return d, &all
}

// Of a band everything is copied, each from its beginning to its end, whatever the length of blocks.
func TestBand(t *testing.T) {
	const rate = 24000
	plan, err := band.New(band.Config{SampleRate: rate, Seconds: 90, Count: map[string]int{"cw": 2, "rtty": 2, "fax": 1}, LowestSNR: 12, HighestSNR: 25, Seed: 3})
	if err != nil {
		t.Fatal(err)
	}
	scene, err := plan.Scene()
	if err != nil {
		t.Fatal(err)
	}
	var z []complex64
	block := make([]complex64, 4096)
	for err != io.EOF {
		var n int
		n, err = scene.ReadIQ(block)
		z = append(z, block[:n]...)
	}
	var first string
	lengths := []int{1000, 1 << 20}
	if testing.Short() {
		lengths = lengths[:1] // as the race detector runs: the goroutines are the same
	}
	for _, length := range lengths {
		d, all := listener(copydesk.Config{SampleRate: rate, IQ: true}, t)
		seen := 0 // rows of the chart while it comes in
		for z := z; len(z) > 0; z = z[min(len(z), length):] {
			d.WriteIQ(z[:min(len(z), length)])
			if len(z) > 40*rate || len(z) < 30*rate || seen > 0 {
				continue
			}
			for _, c := range d.Copies() {
				if draw := c.SoFar(); draw != nil {
					if ch := draw(); ch != nil {
						seen = ch.Rows
					}
				}
			}
		}
		if length < rate && seen < 10 {
			t.Errorf("%d rows of the chart were seen as it came in", seen)
		}
		d.Flush()
		if len(d.Copies()) > 0 {
			t.Error("copies are left")
		}
		said := ""
		for _, c := range *all {
			said += fmt.Sprintln(c.Finding, c.text, len(c.charts))
		}
		if first == "" {
			first = said
			check(t, plan, *all)
		} else if said != first {
			a, b := strings.Split(said, "\n"), strings.Split(first, "\n")
			for i := range min(len(a), len(b)) {
				if a[i] != b[i] {
					t.Errorf("in other blocks %q, not %q", a[i], b[i])
				}
			}
		}
	}
}

func check(t *testing.T, plan *band.Plan, all []copied) {
	t.Helper()
	for _, sent := range plan.Transmissions {
		i := slices.IndexFunc(all, func(c copied) bool {
			return string(c.Kind) == sent.Kind && math.Abs(c.Hz-sent.Hz) < 5 && c.End > int64(plan.SampleRate*(sent.EndSeconds-5))
		})
		if i < 0 {
			t.Errorf("%s at %g Hz was not copied to its end", sent.Kind, sent.Hz)
			continue
		}
		got := all[i]
		if sent.Kind == "fax" {
			// The picture ends 15 s before the transmission, with stop tone and black.
			if len(got.charts) != 1 || math.Abs(float64(got.charts[0].Rows-sent.Lines)) > 10 {
				t.Errorf("fax of %d lines: %d charts", sent.Lines, len(got.charts))
			}
			continue
		}
		// Morse has no new lines.
		want, text := strings.Join(strings.Fields(sent.Text), " "), strings.Join(strings.Fields(got.text), " ")
		if d := nearest.Distance([]rune(want), []rune(text)); d > 2 {
			t.Errorf("%s at %g Hz: %d errors in %q, sent was %q", sent.Kind, sent.Hz, d, text, want)
		}
	}
}

// Audio is copied without tuners; what follows on the same frequency in another mode is another transmission.
func TestAudio(t *testing.T) {
	const rate, text = 12000, "GALE WARNING OSTREL SEA WIND SW 8 BACKING S 9 VISIBILITY 2000 M"
	morse, err := samples.NewCW(samples.CWConfig{Text: text, SampleRate: rate, PitchHz: 1500, LeadSeconds: 5, TrailSeconds: 15})
	if err != nil {
		t.Fatal(err)
	}
	printer, err := samples.NewRTTY(samples.RTTYConfig{Text: text, SampleRate: rate, CentreHz: 1500, TrailSeconds: -1})
	if err != nil {
		t.Fatal(err)
	}
	src, err := samples.Concat(morse, printer, samples.Silence(rate, 5))
	if err != nil {
		t.Fatal(err)
	}
	noisy, err := samples.NewNoise(src, samples.NoiseConfig{SNRdB: 12, SignalPower: morse.Power(), Seed: 1})
	if err != nil {
		t.Fatal(err)
	}
	x, err := samples.ReadAll(noisy)
	if err != nil {
		t.Fatal(err)
	}
	d, all := listener(copydesk.Config{SampleRate: rate}, t)
	d.Write(x)
	d.Flush()
	if len(*all) != 2 || (*all)[0].Kind != "cw" || (*all)[0].text != text || (*all)[1].Kind != "rtty" || (*all)[1].text != text {
		t.Errorf("%+v", *all)
	}
}

// A fax that begins when a teleprinter in its band ceases makes one chart, whole.
func TestChartAfterText(t *testing.T) {
	if testing.Short() {
		t.Skip("long, and the goroutines are those of other tests")
	}
	const rate = 12000
	printer, err := samples.NewRTTY(samples.RTTYConfig{Text: strings.Repeat("GALE WARNING OSTREL SEA ", 8), SampleRate: rate, CentreHz: 2210, LeadSeconds: 3})
	if err != nil {
		t.Fatal(err)
	}
	picture, err := samples.NewFax(samples.FaxConfig{Picture: scenario.DenseChart(1810, 40, 1), SampleRate: rate, PhasingSeconds: 10})
	if err != nil {
		t.Fatal(err)
	}
	src, err := samples.Concat(printer, picture, samples.Silence(rate, 12))
	if err != nil {
		t.Fatal(err)
	}
	noisy, err := samples.NewNoise(src, samples.NoiseConfig{SNRdB: 15, SignalPower: printer.Power(), Seed: 1})
	if err != nil {
		t.Fatal(err)
	}
	x, err := samples.ReadAll(noisy)
	if err != nil {
		t.Fatal(err)
	}
	d, all := listener(copydesk.Config{SampleRate: rate}, t)
	d.Write(x)
	d.Flush()
	var charts []*fax.Chart
	for _, c := range *all {
		charts = append(charts, c.charts...)
	}
	if len(*all) != 2 || len(charts) != 1 {
		t.Fatalf("%d transmissions, %d charts", len(*all), len(charts))
	}
	// The first row comes after 5 s of start tone and the phasing (WMO-No. 386, Part III).
	c := charts[0]
	if lines, begin := len(c.Quality), float64(c.Start)/rate-printer.Duration()-15; lines < 40 || lines > 44 || math.Abs(begin) > 1 || c.Began != fax.BeganStartTone {
		t.Errorf("%d lines, the first one %.1f s late; %s", lines, begin, c.Began)
	}
}

// Phase telegraphy is copied with the number of phases with which it is sent.
func TestPhases(t *testing.T) {
	const rate = 12000
	text := strings.Repeat("gale warning Ostrel Sea: southwest 8 backing south 9 soon. ", 2)
	for _, four := range []bool{false, true} {
		s, err := samples.NewPSK31(samples.PSK31Config{SampleRate: rate, Text: text, QPSK: four})
		if err != nil {
			t.Fatal(err)
		}
		src, err := samples.Concat(samples.Silence(rate, 2), s, samples.Silence(rate, 12))
		if err != nil {
			t.Fatal(err)
		}
		noisy, err := samples.NewNoise(src, samples.NoiseConfig{SNRdB: 5, SignalPower: s.Power(), Seed: 1})
		if err != nil {
			t.Fatal(err)
		}
		x, err := samples.ReadAll(noisy)
		if err != nil {
			t.Fatal(err)
		}
		d, all := listener(copydesk.Config{SampleRate: rate}, t)
		d.Write(x)
		d.Flush()
		if len(*all) != 1 || !strings.Contains((*all)[0].text, text) {
			t.Errorf("four phases %v: %+v", four, *all)
		}
	}
}
