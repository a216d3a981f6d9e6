package cw_test

import (
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"testing"

	"ionoscribe/cw"
	"ionoscribe/samples"
)

// wideScene is a band of 24 kHz with signals of 6 dB in 2500 Hz, by their frequency from its centre.
func wideScene(t *testing.T, sent map[float64]string) []complex64 {
	t.Helper()
	const rate, density, snr, pitch = 24000, 1e-9, 6.0, 1000
	c := samples.IQSceneConfig{SampleRate: rate, Seconds: 45, NoiseDensity: density, Seed: 3}
	n := 0
	for hz, text := range sent {
		n++
		s, err := samples.NewCW(samples.CWConfig{Text: text, SampleRate: 12000, PitchHz: pitch, WPM: 16 + math.Mod(math.Abs(hz), 7), LeadSeconds: 2})
		if err != nil {
			t.Fatal(err)
		}
		c.Signals = append(c.Signals, samples.IQSignal{Source: s, DialHz: hz - pitch, Gain: samples.IQGain(s.Power(), snr, density)})
	}
	s, err := samples.NewIQScene(c)
	if err != nil {
		t.Fatal(err)
	}
	var z []complex64
	for buf := make([]complex64, 4096); err == nil; {
		n, err = s.ReadIQ(buf)
		z = append(z, buf[:n]...)
	}
	if !errors.Is(err, io.EOF) {
		t.Fatal(err)
	}
	return z
}

// copyWide is what is copied, by frequency to the nearest 10 Hz, and all events in order.
func copyWide(t *testing.T, z []complex64, block int) (text map[float64]string, events []string) {
	t.Helper()
	text = map[float64]string{}
	hz := map[int]float64{}
	w, err := cw.NewWide(cw.WideConfig{SampleRate: 24000}, cw.Events{
		Char: func(c cw.Char) {
			if _, ok := hz[c.Signal]; !ok {
				hz[c.Signal] = math.Round(c.PitchHz/10) * 10
			}
			text[hz[c.Signal]] += c.Text
			events = append(events, fmt.Sprint(c))
		},
		State: func(s cw.State) { events = append(events, fmt.Sprint(s)) },
	})
	if err != nil {
		t.Fatal(err)
	}
	for ; len(z) > 0; z = z[min(block, len(z)):] {
		w.Write(z[:min(block, len(z))])
	}
	w.Flush()
	return text, events
}

// Every signal in a band of complex samples is copied once and without an error: near its edges and its centre, where two
// receivers hear it, and sixty hertz apart.
func TestWide(t *testing.T) {
	want := map[float64]string{}
	for i, hz := range []float64{-11700, -9000, -8800, -8740, -5900, -3100, -40, 30, 150, 3180, 3350, 6200, 9100, 11800} {
		want[hz] = strings.TrimSpace(groups(29, 40+uint64(i)))
	}
	z := wideScene(t, want)
	got, events := copyWide(t, z, len(z))
	for hz, text := range want {
		if got[hz] != text {
			t.Errorf("%g Hz: %q, want %q", hz, got[hz], text)
		}
		delete(got, hz)
	}
	for hz, text := range got {
		t.Errorf("%g Hz: %q, where nothing is", hz, text)
	}
	if _, again := copyWide(t, z, 1777); !slices.Equal(again, events) {
		t.Error("the length of the blocks matters")
	}
}

func TestWideConfig(t *testing.T) {
	for _, rate := range []float64{0, 7999, 400000, math.NaN()} {
		if _, err := cw.NewWide(cw.WideConfig{SampleRate: rate}, cw.Events{}); err == nil {
			t.Errorf("%g Hz is accepted", rate)
		}
	}
	if _, err := cw.NewWide(cw.WideConfig{SampleRate: 48000, WPM: 1}, cw.Events{}); err == nil {
		t.Error("1 word a minute is accepted")
	}
}
