package decodertest

import (
	"image"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"ionoscribe/demod"
	"ionoscribe/internal/scenario"
	"ionoscribe/samples"
)

// Input is a kind of sound that a receiver may give a decoder, whether it is meant for it or not.
type Input struct {
	Name string
	make func(m maker)
}

// InputRate is the sample rate of all inputs in Hz.
const InputRate = 12000

// Samples makes so many seconds of it; different seeds are different recordings of the same kind.
func (in Input) Samples(tb testing.TB, seconds int, seed uint64) []float32 {
	tb.Helper()
	x := make([]float32, seconds*InputRate)
	in.make(maker{tb, x, rand.New(rand.NewPCG(seed, 0x696e707574))})
	return x
}

// Inputs are all kinds: what the modes are for, what else is on the short waves, and what no receiver should give.
func Inputs() []Input {
	return []Input{
		{"silence", func(maker) {}},
		{"noise", func(m maker) { m.noise(0.05) }},
		{"speech", func(m maker) {
			m.add(samples.NewSpeech(InputRate, 0.05, m.rng.Uint64()))
			m.noise(0.02)
		}},
		{"music", func(m maker) {
			copy(m.x, Music(m.rng, InputRate, m.seconds(), 90+60*m.rng.Float64(), 261.63*math.Pow(2, m.rng.Float64()-0.5)))
		}},
		{"crashes", func(m maker) {
			quiet := samples.Silence(InputRate, m.seconds())
			m.add(samples.NewCrashes(quiet, samples.CrashConfig{Seconds: 0.1, Share: 0.15,
				NoiseConfig: samples.NoiseConfig{SignalPower: 0.1, Seed: m.rng.Uint64()}}))
			m.noise(0.005)
		}},
		{"static", func(m maker) {
			quiet := samples.Silence(InputRate, m.seconds())
			m.add(samples.NewStatic(quiet, samples.StaticConfig{Index: 0.1, GaussRatio: 0.01, BurstSeconds: 0.02,
				NoiseConfig: samples.NoiseConfig{SignalPower: 0.02, Seed: m.rng.Uint64()}}))
		}},
		{"chart", func(m maker) { m.fax(scenario.DenseChart); m.noise(0.01) }},
		{"grey-chart", func(m maker) { m.fax(scenario.Satellite); m.noise(0.01) }},
		{"teleprinter", func(m maker) { m.teleprinter(1500, 0.2); m.noise(0.02) }},
		{"morse", func(m maker) { m.morse(800, 20, 0.2); m.noise(0.02) }},
		{"several", func(m maker) {
			m.fax(scenario.DenseChart)
			m.teleprinter(850, 0.1)
			m.morse(450, 25, 0.1)
			m.add(samples.NewCarrier(InputRate, 3100, 0.05))
			m.noise(0.02)
		}},
		{"carriers", func(m maker) {
			for i := range 40 {
				m.add(samples.NewCarrier(InputRate, m.spread(i), 0.015))
			}
			m.noise(0.005)
		}},
		{"keyed-carriers", func(m maker) {
			for i := range 40 {
				m.morse(m.spread(i), 12+23*m.rng.Float64(), 0.015)
			}
			m.noise(0.005)
		}},
		{"square-3Hz", func(m maker) { m.square(3) }},
		{"square-40Hz", func(m maker) { m.square(40) }},
		{"square-650Hz", func(m maker) { m.square(650) }},
		{"square-1900Hz", func(m maker) { m.square(1900) }},
		{"keyed-square", func(m maker) { m.keyedSquare(650) }},
	}
}

// maker adds up an input.
type maker struct {
	tb  testing.TB
	x   []float32
	rng *rand.Rand
}

func (m maker) seconds() float64 { return float64(len(m.x)) / InputRate }

func (m maker) noise(sigma float64) {
	for i := range m.x {
		m.x[i] += float32(sigma * m.rng.NormFloat64())
	}
}

// add adds a source from the beginning, as far as it lasts.
func (m maker) add(src demod.SampleReader, err error) {
	if err != nil {
		m.tb.Fatal(err)
	}
	x, err := samples.ReadAll(samples.NewLimit(src, m.seconds()))
	if err != nil {
		m.tb.Fatal(err)
	}
	for i, v := range x[:min(len(x), len(m.x))] {
		m.x[i] += v
	}
}

// fax sends a picture that fills the time, joined in the middle of it.
func (m maker) fax(draw func(width, height int, seed int64) *image.Gray) {
	rows := int(2*m.seconds()) + 8
	m.add(samples.NewFax(samples.FaxConfig{
		SampleRate: InputRate, Picture: draw(samples.Columns(samples.DefaultIOC), rows, int64(m.rng.Uint32())),
		StartSeconds: -1, PhasingSeconds: -1, StopSeconds: -1, BlackSeconds: -1,
	}))
}

// groups are of five letters and figures.
func (m maker) groups(n int) string {
	var b strings.Builder
	for range n {
		for range 5 {
			b.WriteByte("ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789"[m.rng.IntN(36)])
		}
		b.WriteByte(' ')
	}
	return b.String()
}

func (m maker) teleprinter(hz, amplitude float64) {
	m.add(samples.NewRTTY(samples.RTTYConfig{SampleRate: InputRate, Text: m.groups(int(1.2*m.seconds()) + 1),
		CentreHz: hz, Amplitude: amplitude, Diddle: true}))
}

func (m maker) morse(hz, wpm, amplitude float64) {
	m.add(samples.NewCW(samples.CWConfig{SampleRate: InputRate, Text: m.groups(int(wpm*m.seconds()/60) + 1),
		WPM: wpm, PitchHz: hz, Amplitude: amplitude, LeadSeconds: 0.01 + m.rng.Float64(), Seed: m.rng.Uint64()}))
}

// spread is the frequency of one of forty carriers, some 75 Hz apart.
func (m maker) spread(i int) float64 { return 300 + 75*float64(i) + 20*m.rng.Float64() }

// square is at full scale.
func (m maker) square(hz float64) {
	for i := range m.x {
		m.x[i] = 1
		if _, part := math.Modf(hz * float64(i) / InputRate); part >= 0.5 {
			m.x[i] = -1
		}
	}
}

// keyedSquare is one that Morse keys, an overdriven receiver.
func (m maker) keyedSquare(hz float64) {
	m.morse(hz, 20, 1)
	for i, v := range m.x {
		m.x[i] = min(max(1000*v, -1), 1)
	}
}
