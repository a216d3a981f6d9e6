package psk_test

import (
	"flag"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"ionoscribe/demod"
	"ionoscribe/internal/decodertest"
	"ionoscribe/psk"
	"ionoscribe/samples"
)

var long = flag.Bool("long", false, "ten minutes of each sound that is no phase telegraphy, instead of twenty seconds")

// What is no phase telegraphy, but for Morse code, prints nothing, one signal wanted or twenty.
func TestNothingFromOthers(t *testing.T) {
	seconds := 20
	if *long {
		seconds = 600
	}
	plain := func(src demod.SampleReader, err error) []float32 {
		must(t, err)
		src, err = noise(20, 1).Through(samples.NewLimit(src, float64(seconds)), 0.05)
		must(t, err)
		x, err := samples.ReadAll(src)
		must(t, err)
		return x
	}
	text := strings.Repeat("GALE WARNING 1234567890 ", seconds/2)
	speech, err := samples.NewSpeech(rate, 0.05, 2)
	sounds := map[string][]float32{"noise": plain(samples.Silence(rate, float64(seconds)), nil), "speech": plain(speech, err)}
	for _, baud := range []float64{45.45, 50, 75, 100} {
		tele, err := samples.NewRTTY(samples.RTTYConfig{Text: text, SampleRate: rate, Baud: baud, Diddle: true})
		sounds["teleprinter"] = append(sounds["teleprinter"], plain(tele, err)...)
	}
	carrier, err := samples.NewCarrier(rate, 1700, 0.3)
	sounds["carrier"] = plain(carrier, err)
	rng := rand.New(rand.NewPCG(1, 1))
	sounds["music"] = decodertest.Music(rng, rate, float64(seconds), 120, 261.63*math.Pow(2, rng.Float64()-0.5))
	for name, x := range sounds {
		for _, signals := range []int{1, 20} {
			if text, _ := hear(t, x, psk.Config{Signals: signals}); len(text) > 0 {
				t.Errorf("%s, %d signals wanted: %q", name, signals, text)
			}
		}
	}
}
