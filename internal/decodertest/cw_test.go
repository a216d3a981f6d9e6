package decodertest

import (
	"fmt"
	"math"
	"testing"

	"ionoscribe/cw"
	"ionoscribe/samples"
)

// A short message at 30 words a minute, and a long one, both in noise.
func TestCW(t *testing.T) {
	const rate = 8000
	send := func(text string, snr float64) []float32 {
		s, err := samples.NewCW(samples.CWConfig{Text: text, SampleRate: rate, WPM: 30, Sender: samples.Paddle})
		if err != nil {
			t.Fatal(err)
		}
		return noisy(t, s, s.Power(), snr)
	}
	lasting := ""
	for range 30 {
		lasting += "GALE WARNING SEA AREA 7 WIND 9 "
	}
	for _, signals := range []int{1, 10} {
		t.Run(fmt.Sprint(signals), func(t *testing.T) {
			Contract{
				New: func(heard func(Event)) Decoder {
					return newCW(t, cw.Config{SampleRate: rate, Signals: signals}, heard)
				},
				Signal: send("QTH 54N 20W <AR>", 3), Lasting: send(lasting, 0),
				// Tracks are made when they are first needed.
				IdleWarm: 10 * rate, ReceivingWarm: 60 * rate, Measured: 60 * rate,
			}.Run(t)
		})
	}
}

func newCW(t *testing.T, c cw.Config, heard func(Event)) Decoder {
	d, err := cw.New(c, cw.Events{
		Char: func(c cw.Char) {
			heard(Event{c.At, digest(c.Text, float64(c.Signal), float64(c.End-c.At), c.Confidence, c.PitchHz, c.WPM)})
		},
		State: func(s cw.State) {
			heard(Event{s.At, digest("", float64(s.Signal), s.PitchHz, s.WPM, s.SNR, s.Weighting, s.DashRatio)})
		},
	})
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// digests are all that digest may say, made once: characters come so often that the hook must not allocate either.
var digests = func() (d [1 << 16]string) {
	for i := range d {
		d[i] = fmt.Sprintf("%04x", i)
	}
	return d
}()

// digest is by FNV-1a.
func digest(text string, numbers ...float64) string {
	h := uint64(14695981039346656037)
	for i := range len(text) {
		h = (h ^ uint64(text[i])) * 1099511628211
	}
	for _, v := range numbers {
		for b := math.Float64bits(v); b > 0; b >>= 8 {
			h = (h ^ b&255) * 1099511628211
		}
	}
	return digests[(h^h>>16^h>>32^h>>48)&0xffff]
}
