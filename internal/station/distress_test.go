package station

import (
	"context"
	"slices"
	"strings"
	"testing"
	"time"

	"ionoscribe/internal/archive"
	"ionoscribe/internal/stationfile"
	"ionoscribe/rtty/dsc"
	"ionoscribe/samples"
)

// A distress call is an alert that nobody has asked for, with what it says and the caution; other calls are none.
func TestDistressCall(t *testing.T) {
	send := func(line string) []float32 {
		c, err := dsc.Parse(line)
		must(t, err)
		k, err := samples.NewDSC(samples.DSCConfig{Call: c, KeyedConfig: samples.KeyedConfig{SampleRate: rate}})
		must(t, err)
		late, err := samples.Concat(samples.Silence(rate, 4), k, samples.Silence(rate, 12))
		must(t, err)
		noisy, err := samples.NewNoise(late, samples.NoiseConfig{SignalPower: k.Power(), SNRdB: 5, Seed: 1})
		must(t, err)
		return all(noisy)
	}
	sound := slices.Concat(
		send("all ships call; category safety; from 002990001; telecommand J3E telephone; second telecommand no information; receive on 2182.0 kHz; transmit on none"),
		send("distress alert; from 299000001; nature sinking; position 54-12N 010-33E; time 12:34; then J3E telephone"))
	f := &fake{begin: time.Date(2031, 5, 4, 12, 0, 0, 0, time.UTC)}
	in := f.input(func(_ context.Context, take func(Block)) error {
		f.play(take, sound)
		return nil
	})
	in.Live = false
	c := &stationfile.Config{Name: "test", Receivers: []stationfile.Receiver{{Name: "a"}}}
	dir := t.TempDir()
	s, err := Open(dir, c, Options{BySamples: true, Open: func(context.Context, stationfile.Receiver, float64) (*Input, error) { return in, nil }})
	must(t, err)
	must(t, s.Run(t.Context()))
	r, err := archive.OpenReader(dir)
	must(t, err)
	defer r.Close()
	told, err := r.Alerts(t.Context(), 0, 10)
	must(t, err)
	if len(told) != 1 {
		t.Fatalf("%d alerts: %+v", len(told), told)
	}
	for _, part := range []string{"FROM 299000001; NATURE SINKING; POSITION 54-12N 010-33E", "ONLY AN APPROVED RECEIVER AND THE AUTHORITIES COUNT"} {
		if got := told[0].Excerpt; !strings.Contains(got, part) {
			t.Errorf("%q is not in %q", part, got)
		}
	}
}
