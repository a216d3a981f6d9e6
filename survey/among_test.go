package survey_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"ionoscribe/internal/scenario"
	"ionoscribe/samples"
	"ionoscribe/survey"
)

// A fax begins where and when a teleprinter or Morse within its band ceases: both begin and end when they did.
func TestFaxTakesOver(t *testing.T) {
	fax := func() *samples.Fax {
		return must[*samples.Fax](t)(samples.NewFax(samples.FaxConfig{Picture: scenario.DenseChart(1810, 40, 1), PhasingSeconds: 10}))
	}
	for _, c := range []struct {
		name string
		hz   float64
		baud float64 // 0: Morse
		snr  float64
		fax  float64
	}{
		{"teleprinter of the same strength", 2210, 45.45, 12, 12},
		{"stronger teleprinter", 1700, 50, 22, 10},
		{"stronger Morse", 2100, 0, 22, 8},
		{"weaker Morse", 1900, 0, 3, 20},
	} {
		const before = 4.0
		var first sent
		var length float64
		kind := survey.Kind("rtty")
		if c.baud != 0 {
			r := must[*samples.RTTY](t)(samples.NewRTTY(samples.RTTYConfig{Text: strings.Repeat(text, 5), CentreHz: c.hz, Baud: c.baud}))
			first, length = sent{r, r.Power(), before, c.snr}, r.Duration()
		} else {
			kind = "cw"
			m := must[*samples.CW](t)(samples.NewCW(samples.CWConfig{Text: strings.Repeat(text, 2), PitchHz: c.hz, LeadSeconds: -1, TrailSeconds: -1}))
			first, length = sent{m, m.Power(), before, c.snr}, m.Duration()
		}
		f := fax()
		turn := before + length
		x := add(t, noise(t, turn+f.Duration()+15), first, sent{f, f.Power(), turn, c.fax})
		_, ended := find(t, x, 1<<14)
		is := func(k survey.Kind, hz, begin, end float64) bool {
			return slices.ContainsFunc(ended, func(f survey.Finding) bool {
				return f.Kind == k && math.Abs(f.Hz-hz) < 5 && math.Abs(float64(f.Begin)/rate-begin) < 2 && math.Abs(float64(f.End)/rate-end) < 2
			})
		}
		if len(ended) != 2 || !is(kind, c.hz, before, turn) || !is("fax", 1900, turn, turn+f.Duration()) {
			t.Errorf("%s until %.1f s, fax until %.1f s:", c.name, turn, turn+f.Duration())
			for _, f := range ended {
				t.Errorf("  %v at %.1f Hz from %.1f to %.1f s", f.Kind, f.Hz, float64(f.Begin)/rate, float64(f.End)/rate)
			}
		}
	}
}
