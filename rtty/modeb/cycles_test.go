package modeb_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"ionoscribe/internal/modes"
	"ionoscribe/rtty/modeb"
	"ionoscribe/samples"
	"ionoscribe/survey"
)

// modeA sends blocks of three characters in cycles of 450 ms (ITU-R M.476-5, from memory), with pauses between, for some seconds.
func modeA(t *testing.T, seconds, snr float64, inverted bool, seed uint64) []float32 {
	t.Helper()
	const block, cycle = 21, 45 // elements
	rng := rand.New(rand.NewPCG(seed, 1))
	var elements []bool
	for len(elements) < int(seconds*modeb.Baud) {
		codes, err := modeb.Encode(string([]byte{byte('A' + rng.IntN(26)), byte('A' + rng.IntN(26)), byte('A' + rng.IntN(26))}))
		must(t, err)
		for _, c := range codes[len(codes)-3:] {
			for i := range modeb.Units {
				elements = append(elements, c>>i&1 == 1)
			}
		}
		for len(elements)%cycle != 0 {
			elements = append(elements, false)
		}
	}
	k, err := samples.NewKeyed(elements, samples.KeyedConfig{SampleRate: rate, CentreHz: 1500, Inverted: inverted})
	must(t, err)
	x, err := samples.ReadAll(k)
	must(t, err)
	for i := range x { // the transmitter is off in the rest of a cycle
		if int(float64(i)/rate*modeb.Baud)%cycle >= block {
			x[i] = 0
		}
	}
	n, err := samples.NewNoise(samples.Silence(rate, seconds), samples.NoiseConfig{SignalPower: k.Power(), SNRdB: snr, Seed: seed})
	must(t, err)
	y, err := samples.ReadAll(n)
	must(t, err)
	for i := range y {
		y[i] += x[i]
	}
	return y
}

// Mode A is recognised in eight seconds, on either sideband, and prints nothing; mode B and noise are none.
func TestModeA(t *testing.T) {
	is := func(x []float32) (modeb.State, bool, int) {
		printed := 0
		d, err := modeb.New(modeb.Config{SampleRate: rate}, modeb.Events{Char: func(modeb.Char) { printed++ }})
		must(t, err)
		d.Write(x)
		s, is := d.ModeA()
		d.Flush()
		return s, is, printed
	}
	found := 0
	for seed := range uint64(20) {
		s, ok, printed := is(modeA(t, 8, 0, seed%2 == 1, seed))
		if printed > 0 {
			t.Errorf("seed %d: %d characters are printed", seed, printed)
		}
		if !ok {
			continue
		}
		found++
		if math.Abs(s.CentreHz-1500) > 5 || s.Inverted != (seed%2 == 1) || !s.Settings().ModeA {
			t.Errorf("seed %d: %+v", seed, s)
		}
	}
	if found < 19 {
		t.Errorf("%d of 20 are recognised at 0 dB", found)
	}
	for seed := range uint64(5) {
		x := sent(t, samples.ModeBConfig{Text: groups(40, seed)}, noise(0, seed))
		for _, y := range [][]float32{x, x[rate:], sent(t, samples.ModeBConfig{Text: "E"}, noise(-20, seed))} {
			if s, ok, _ := is(y); ok {
				t.Errorf("seed %d: %+v", seed, s)
			}
		}
	}
}

// The survey tells mode A as what it is.
func TestModeAFound(t *testing.T) {
	for seed := range uint64(2) {
		var kinds []string
		s, err := survey.New(survey.Config{SampleRate: rate, Modes: modes.All}, survey.Events{Ended: func(f survey.Finding) {
			kinds = append(kinds, string(f.Kind)+" "+f.Settings.Short())
		}})
		must(t, err)
		s.Write(modeA(t, 30, 10, false, seed))
		s.Flush()
		if !slices.Equal(kinds, []string{"navtex mode A"}) {
			t.Errorf("seed %d: %v", seed, kinds)
		}
	}
}
