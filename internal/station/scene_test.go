package station

import (
	"errors"
	"io"
	"math"
	"math/rand/v2"

	"ionoscribe/demod"
	"ionoscribe/internal/mode"
	"ionoscribe/internal/modes"
	"ionoscribe/samples"
)

const noiseLevel = 0.004 // amplitude of noise in 2500 Hz

func check(err error) {
	if err != nil {
		panic(err)
	}
}

func newRandom(seed uint64) *rand.Rand { return rand.New(rand.NewPCG(seed, 1)) }

// hiss is noise of some seconds.
func hiss(seconds float64, seed uint64) []float32 {
	n, err := samples.NewNoise(samples.Silence(rate, seconds), samples.NoiseConfig{SignalPower: noiseLevel * noiseLevel, Seed: seed})
	check(err)
	return all(n)
}

func all(src demod.SampleReader) (x []float32) {
	for b := make([]float32, 4096); ; {
		n, err := src.ReadSamples(b)
		if x = append(x, b[:n]...); errors.Is(err, io.EOF) {
			return x
		}
		check(err)
	}
}

// broadcast is one of a mode at 20 dB, in noise that begins 4 s before it and ends some seconds after it.
func broadcast(name string, seed uint64, after float64, text string) []float32 {
	return broadcastAt(rate, name, seed, after, text)
}

// broadcastAt is broadcast at a sample rate.
func broadcastAt(rate float64, name string, seed uint64, after float64, text string) []float32 {
	m := mode.Find(modes.All, name)
	v, err := m.Invent(mode.Brief{Random: newRandom(seed), SampleRate: rate, Low: m.AudioHz, High: m.AudioHz, Seconds: 25, Short: true, Seed: seed,
		Text: func(int) string { return text }})
	check(err)
	late, err := samples.Concat(samples.Silence(rate, 4), v.Sound)
	check(err)
	noise, err := samples.NewNoise(samples.Silence(rate, 4+v.Sound.Duration()+after), samples.NoiseConfig{SignalPower: noiseLevel * noiseLevel, Seed: seed})
	check(err)
	both, err := samples.NewMix(noise, late, noiseLevel*math.Sqrt(100/v.Sound.Power()))
	check(err)
	return all(both)
}
