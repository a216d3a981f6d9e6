package alerts

import (
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"ionoscribe/cw"
	"ionoscribe/internal/traffic"
	"ionoscribe/samples"
)

// Words are found in what the Morse decoder prints of a fading signal near its limit: more of them than are printed without a
// fault, and hardly any that were not sent. The channel is that of Recommendation ITU-R F.1487, annex 3; the seeds are others than
// those by which doubt was chosen.
func TestGarbled(t *testing.T) {
	channel, err := samples.FindChannel("mid-moderate")
	if err != nil {
		t.Fatal(err)
	}
	neverSent := strings.Fields("STORM TSUNAMI MAYDAY PIRATES HURRICANE MINES RESCUE FIRE SANK BUOY DERELICT STRANDED ICEBERG CYCLONE WAVE TUGS PILOT SUNK")
	var sent, exact, found, falsely, asked int
	for seed := uint64(100); seed < 105; seed++ {
		rng := rand.New(rand.NewPCG(seed, 0))
		var words []string
		for len(words) < 100 {
			if w := traffic.Word(rng); !strings.ContainsAny(w, "0123456789") {
				words = append(words, w)
			}
		}
		chars := heard(t, strings.Join(words, " "), channel, seed)
		looked := slices.Concat(neverSent, words)
		slices.Sort(looked)
		for _, w := range slices.Compact(looked) {
			if len(w) < 4 {
				continue
			}
			n := 0
			for _, x := range words {
				if x == w {
					n++
				}
			}
			with := count(t, w, chars, true)
			sent, found, exact = sent+n, found+min(n, with), exact+min(n, count(t, w, chars, false))
			falsely, asked = falsely+max(0, with-n), asked+len(words)
		}
	}
	part := func(n int) float64 { return float64(n) / float64(sent) }
	t.Logf("of %d words sent %.1f %% are found, %.1f %% as they are printed; %d of %d that were not sent", sent, 100*part(found), 100*part(exact), falsely, asked)
	if part(found) < 0.80 {
		t.Errorf("%.1f %% are found", 100*part(found))
	}
	if part(found)-part(exact) < 0.09 {
		t.Errorf("%.1f %% are found as they are printed, %.1f %% with forbearance", 100*part(exact), 100*part(found))
	}
	if falsely > 1 {
		t.Errorf("%d of %d are found that were not sent", falsely, asked)
	}
}

// heard is what the decoder prints at 20 words a minute and -1 dB in 2500 Hz.
func heard(t *testing.T, text string, channel samples.Channel, seed uint64) (chars []cw.Char) {
	t.Helper()
	s, err := samples.NewCW(samples.CWConfig{Text: text, WPM: 20, SampleRate: 8000, PitchHz: 700, Seed: seed})
	if err != nil {
		t.Fatal(err)
	}
	fading := channel.Fading(seed)
	path := samples.Path{Seed: seed, Fading: &fading, Noise: &samples.NoiseConfig{SNRdB: -1}}
	r, err := path.Through(s, s.Power())
	if err != nil {
		t.Fatal(err)
	}
	for c, err := range cw.All(r, cw.Config{}) {
		if err != nil {
			t.Fatal(err)
		}
		chars = append(chars, c)
	}
	return chars
}

// count is how often a word is found, with forbearance or without.
func count(t *testing.T, w string, chars []cw.Char, forbearing bool) (n int) {
	t.Helper()
	p, err := compile(w)
	if err != nil {
		t.Fatal(err)
	}
	if !forbearing {
		p.words[0] = word{}
	}
	rules := []rule{{patterns: []*pattern{p}}}
	tx := newText(rules)
	for _, c := range chars {
		tx.write(rules, Event{Text: c.Text, Confidence: c.Confidence}, func(hit) { n++ })
	}
	tx.end(rules, func(hit) { n++ })
	return n
}
