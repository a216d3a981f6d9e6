package cw_test

import (
	"strings"
	"testing"

	"ionoscribe/cw"
	"ionoscribe/samples"
)

// What is expected helps with what is not part of it: these sentences are not in plain.txt.
const letterText = `THE TRAIN TO THE MOUNTAINS LEAVES AT 7 IN THE MORNING AND STOPS AT EVERY VILLAGE. BRING WARM CLOTHES, A
HAT AND STRONG SHOES, SINCE THE PATH BEHIND THE HUT IS STEEP AND OFTEN WET. COULD YOU LEND US YOUR LADDER FOR A FEW DAYS?
OURS BROKE WHEN UNCLE FELL OFF THE ROOF`

// Near the threshold plain language is copied with a quarter of the errors, half at most here, if it is expected, and
// groups hardly with more; grade cw measures the same over many more characters.
func TestPlainLanguage(t *testing.T) {
	for _, c := range []struct {
		name, text        string
		snr               float64
		without, with, of int // errors at most, of so many messages
	}{
		{"plain", strings.Join(strings.Fields(letterText), " "), -10.5, 22, 8, 2},
		{"groups", groups(240, 7), -9.5, 5, 5, 1},
	} {
		var errors [2]int
		for seed := range uint64(c.of) {
			x := sent(t, samples.CWConfig{Text: c.text, Seed: 30 + seed}, samples.Path{}, c.snr)
			for i := range errors {
				errors[i] += distance(c.text, copied(t, cw.Config{PlainLanguage: i == 1}, x)[1])
			}
		}
		t.Logf("%s: %d errors, %d of %d where plain language is expected", c.name, errors[0], errors[1], c.of*len(c.text))
		if errors[0] > c.without || errors[1] > c.with || c.name == "plain" && 2*errors[1] > errors[0] {
			t.Errorf("%s: %d and %d errors", c.name, errors[0], errors[1])
		}
	}
}

// It takes no more memory as it goes on.
func TestPlainLanguageAllocations(t *testing.T) {
	x := sent(t, samples.CWConfig{Text: strings.Repeat(letterText+" ", 2), WPM: 30}, samples.Path{}, 0)
	d, err := cw.New(cw.Config{SampleRate: testRate, PlainLanguage: true}, cw.Events{})
	if err != nil {
		t.Fatal(err)
	}
	d.Write(x[:60*testRate])
	x = x[60*testRate:]
	if n := testing.AllocsPerRun(20, func() {
		d.Write(x[:testRate])
		x = x[testRate:]
	}); n != 0 {
		t.Errorf("%v allocations a second", n)
	}
}
