package rtty_test

import (
	"strings"
	"testing"

	"ionoscribe/demod"
	"ionoscribe/rtty"
	"ionoscribe/samples"
)

// Noise, speech-like noise and Morse print at most a character.
func TestNothingFromOthers(t *testing.T) {
	const rate, seconds = 8000, 30
	speech, err := samples.NewSpeech(rate, 0.05, 2)
	if err != nil {
		t.Fatal(err)
	}
	morse, err := samples.NewCW(samples.CWConfig{Text: strings.Repeat("GALE WARNING 1234567890 ", 5), SampleRate: rate})
	if err != nil {
		t.Fatal(err)
	}
	for name, src := range map[string]demod.SampleReader{"noise": samples.Silence(rate, seconds), "speech": samples.NewLimit(speech, seconds), "morse": samples.NewLimit(morse, seconds)} {
		t.Run(name, func(t *testing.T) {
			if text, _ := hear(t, read(t, src, 0.05, 20), rtty.Config{SampleRate: rate}); len(text) > 1 {
				t.Errorf("%q", text)
			}
		})
	}
}
