package rtty_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"ionoscribe/rtty"
	"ionoscribe/samples"
)

// hear decodes x and returns the text and the last state in which a signal was received.
func hear(tb testing.TB, x []float32, c rtty.Config) (text string, state rtty.State) {
	tb.Helper()
	var b strings.Builder
	d, err := rtty.New(c, rtty.Events{
		Char: func(c rtty.Char) { b.WriteRune(c.Rune) },
		State: func(s rtty.State) {
			if s.Receiving {
				state = s
			}
		},
	})
	if err != nil {
		tb.Fatal(err)
	}
	d.Write(x)
	d.Flush()
	return b.String(), state
}

const message = "ZCZC 027\nGALE WARNING OSTREL SEA\nWIND SW 8 BACKING S 9 (SOON), VISIBILITY 2000 M\nNNNN"

// Every rate, with either tone as mark, wherever it is in the passband, is found and printed with nothing ordered.
func TestEveryRate(t *testing.T) {
	const rate = 12000
	for i, baud := range rtty.Bauds {
		for _, inverted := range []bool{false, true} {
			shift := rtty.ShiftsHz[i%len(rtty.ShiftsHz)]
			shift = max(shift, 1.3*baud)
			centre := 600 + 270*float64(i)
			t.Run(fmt.Sprintf("%.4g Bd %v", baud, inverted), func(t *testing.T) {
				x := noisy(t, samples.RTTYConfig{
					SampleRate: rate, Text: message + " " + message, Baud: baud, ShiftHz: shift, CentreHz: centre, Inverted: inverted, TrailSeconds: 3,
				})
				text, s := hear(t, x, rtty.Config{SampleRate: rate})
				if text != message+" "+message {
					t.Errorf("%q", text)
				}
				higher := s.Polarity == rtty.MarkHigher
				if math.Abs(s.CentreHz-centre) > max(6, 0.03*baud) || math.Abs(s.ShiftHz-shift) > max(6, 0.04*shift) || s.Baud != baud || higher != inverted {
					t.Errorf("%+v; sent %g Hz, shift %g Hz, %g Bd", s, centre, shift, baud)
				}
				if math.Abs(s.SNR-3) > 1.7 {
					t.Errorf("SNR %.1f dB of 3", s.SNR)
				}
			})
		}
	}
}

// A tuning that drifts, idle characters and gaps, a wrong rate, other stop elements.
func TestSenders(t *testing.T) {
	const rate = 12000
	for name, c := range map[string]samples.RTTYConfig{
		"diddle": {Diddle: true, GapSeconds: 0.3}, "slow": {BaudErrorPercent: -2}, "fast": {BaudErrorPercent: 2},
		"one stop": {StopElements: 1}, "two stops": {StopElements: 2}, "jitter": {StopJitter: 0.5}, "soft": {TurnElements: 0.5},
	} {
		t.Run(name, func(t *testing.T) {
			c.SampleRate, c.Text, c.TrailSeconds = rate, message, 3
			s, err := samples.NewRTTY(c)
			if err != nil {
				t.Fatal(err)
			}
			path := samples.Path{DriftHzPerSecond: 1, Noise: &samples.NoiseConfig{SNRdB: 3}}
			src, err := path.Through(s, s.Power())
			if err != nil {
				t.Fatal(err)
			}
			x, err := samples.ReadAll(src)
			if err != nil {
				t.Fatal(err)
			}
			if text, _ := hear(t, x, rtty.Config{SampleRate: rate}); text != message {
				t.Errorf("%q", text)
			}
		})
	}
}

// Someone who types pauses after each character, and is printed from 20 s before the signal is recognized.
func TestTyped(t *testing.T) {
	const rate = 8000
	for _, gap := range []float64{0.3, 1, 2} {
		for _, snr := range []float64{10, 0} {
			s, err := samples.NewRTTY(samples.RTTYConfig{SampleRate: rate, Text: message, GapSeconds: gap, TrailSeconds: 3, Seed: 2})
			if err != nil {
				t.Fatal(err)
			}
			text, _ := hear(t, read(t, s, s.Power(), snr), rtty.Config{SampleRate: rate})
			want := message
			if gap > 1 {
				want = message[9:] // there is too little in the first 20 s
			}
			if !strings.HasSuffix(text, want) || len(text) > len(message) {
				t.Errorf("gaps of %g s, %g dB: %q", gap, snr, text)
			}
		}
	}
}

// What a sender leaves when it ceases, with or without steady mark at the end, prints nothing.
func TestEnd(t *testing.T) {
	const rate = 8000
	for _, snr := range []float64{10, 0, -5} {
		for i, trail := range []float64{-1, 0.5, 2} {
			s, err := samples.NewRTTY(samples.RTTYConfig{SampleRate: rate, Text: message, TrailSeconds: trail, CentreHz: 1200 + 300*float64(i)})
			if err != nil {
				t.Fatal(err)
			}
			src, err := samples.Concat(s, samples.Silence(rate, 10))
			if err != nil {
				t.Fatal(err)
			}
			text, _ := hear(t, read(t, src, s.Power(), snr), rtty.Config{SampleRate: rate})
			if len(text) > len(message) || snr >= 0 && text != message {
				t.Errorf("%g dB, %g s of mark at the end: %q", snr, trail, text)
			}
		}
	}
}

// A sender that goes and another one that comes: both are printed, and nothing of the noise between and after.
func TestSenderChanges(t *testing.T) {
	const rate = 8000
	x := noisy(t, samples.RTTYConfig{SampleRate: rate, Text: message, CentreHz: 1000})
	x = append(x, read(t, samples.Silence(rate, 6), 0.05, 3)...)
	x = append(x, noisy(t, samples.RTTYConfig{SampleRate: rate, Text: message, Baud: 75, ShiftHz: 450, CentreHz: 2000, Inverted: true, TrailSeconds: 3})...)
	if text, s := hear(t, x, rtty.Config{SampleRate: rate}); text != message+message {
		t.Errorf("%q, at last %+v", text, s)
	}
}

// At other rates a letter repeated is more than one letter, but explains the signal worse.
func TestMarker(t *testing.T) {
	text := strings.Repeat("U", 70) + "\nDE XG0JDQ EXCEPT XE0NQ DRIFTING"
	for _, baud := range []float64{rtty.Baud45, 50, 75} {
		x := noisy(t, samples.RTTYConfig{SampleRate: 12000, Text: text, Baud: baud, StopElements: 1.5, LeadSeconds: 2, TrailSeconds: 2, Seed: 1})
		var printed strings.Builder
		d, err := rtty.New(rtty.Config{SampleRate: 12000}, rtty.Events{Char: func(c rtty.Char) { printed.WriteRune(c.Rune) }})
		if err != nil {
			t.Fatal(err)
		}
		d.Write(x)
		d.Flush()
		if printed.String() != text {
			t.Errorf("%.2f Bd: %q", baud, printed.String())
		}
	}
}
