package grade

import (
	"fmt"
	"math/rand/v2"
	"strings"

	"ionoscribe/demod"
	"ionoscribe/internal/theory"
	"ionoscribe/internal/traffic"
	"ionoscribe/rtty/dsc"
	"ionoscribe/samples"
)

// DSC grades selective calling. What other modes have as characters are calls: one is right if it passes its checks and is the one
// that was sent; one that passes and is another is replaced or added; one that fails is lost.
func DSC(vhf bool) TextMode {
	s := selective{vhf}
	return TextMode{
		Name: "dsc", Title: "selective calling, whose characters are whole calls", SampleRate: samples.DefaultSampleRate,
		Message: func(rng *rand.Rand, calls int) string {
			var b strings.Builder
			for range calls {
				b.WriteRune(firstCall + rune(rng.IntN(numberedCalls)))
			}
			return b.String()
		},
		Send: s.send, Receive: s.receive,
		Theory: func(channel *samples.Channel) []theory.Curve {
			if channel != nil || vhf {
				return nil
			}
			return theory.DSCCurves()
		},
	}
}

type selective struct{ vhf bool }

// Calls are told apart by runes of a private range, which the identity of the sender repeats.
const (
	firstCall     = 0xF0000
	numberedCalls = 60000
)

// numbered is the call of a rune.
func numbered(r rune) dsc.Call {
	n := r - firstCall
	return traffic.Call(rand.New(rand.NewPCG(uint64(n), 0x647363)), fmt.Sprintf("2990%05d", n))
}

// number is the rune of a call, which is the one that was sent if it is nothing but that.
func number(c dsc.Call) rune {
	fields, _ := c.Fields()
	for _, f := range fields {
		var n rune
		if f.Name != "from" {
			continue
		}
		if got, _ := fmt.Sscanf(f.Value, "2990%05d", &n); got == 1 && n < numberedCalls && numbered(firstCall+n).String() == c.String() {
			return firstCall + n
		}
	}
	return doubtful
}

// pauseDSC is before and behind each call: the transmitter is keyed for it alone.
const pauseDSC = 2.0

func (s selective) send(message string, rng *rand.Rand) (TextSignal, error) {
	config := samples.DSCConfig{VHF: s.vhf}
	if !s.vhf {
		config.CentreHz = samples.DefaultKeyedCentreHz + tuneHz*(2*rng.Float64()-1)
		config.Inverted = rng.IntN(2) == 0
	}
	signal := TextSignal{Start: pauseDSC}
	var parts []demod.SampleReader
	for _, r := range message {
		config.Call = numbered(r)
		config.Dots = [...]int{dsc.ShortDots, dsc.LongDots}[rng.IntN(2)]
		k, err := samples.NewDSC(config)
		if err != nil {
			return signal, err
		}
		parts = append(parts, samples.Silence(k.SampleRate(), pauseDSC), k)
		signal.Power = k.Power()
	}
	parts = append(parts, samples.Silence(samples.DefaultSampleRate, pauseDSC))
	var err error
	signal.Source, err = samples.Concat(parts...)
	return signal, err
}

func (s selective) receive(src demod.SampleReader) (heard []HeardChar, err error) {
	for r, err := range dsc.All(src, dsc.Config{VHF: s.vhf}) {
		if err != nil {
			return heard, err
		}
		if r.OK {
			heard = append(heard, HeardChar{number(r.Call), float64(r.At) / src.SampleRate(), r.Sure})
		}
	}
	return heard, nil
}
