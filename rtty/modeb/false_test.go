package modeb_test

import (
	"flag"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"ionoscribe/demod"
	"ionoscribe/internal/decodertest"
	"ionoscribe/rtty/modeb"
	"ionoscribe/samples"
)

var long = flag.Bool("long", false, "ten minutes of each sound that is no mode B, instead of one")

// What is no mode B prints nothing, a teleprinter of the same rate and shift included.
func TestNothingFromOthers(t *testing.T) {
	seconds := 60
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
	sounds := map[string][]float32{"silence and noise": plain(samples.Silence(rate, float64(seconds)), nil), "speech": plain(speech, err)}
	morse, err := samples.NewCW(samples.CWConfig{Text: text, SampleRate: rate})
	sounds["morse"] = plain(morse, err)
	for _, baud := range []float64{45.45, 50, 75, 100} {
		tele, err := samples.NewRTTY(samples.RTTYConfig{Text: text, SampleRate: rate, Baud: baud, StopElements: 1, CentreHz: 1700, Diddle: true})
		sounds["teleprinter"] = append(sounds["teleprinter"], plain(tele, err)...)
	}
	carrier, err := samples.NewCarrier(rate, 1700, 0.3)
	sounds["carrier"] = plain(carrier, err)
	rng := rand.New(rand.NewPCG(1, 1))
	sounds["music"] = decodertest.Music(rng, rate, float64(seconds), 120, 261.63*math.Pow(2, rng.Float64()-0.5))
	random := make([]bool, 100*seconds) // elements of no code
	for i := range random {
		random[i] = rng.IntN(2) == 0
	}
	keyed, err := samples.NewKeyed(random, samples.KeyedConfig{SampleRate: rate})
	sounds["random elements"] = plain(keyed, err)
	for name, x := range sounds {
		if text, _ := hear(t, x, modeb.Config{}); text != "" {
			t.Errorf("%s: %q", name, text)
		}
	}
}
