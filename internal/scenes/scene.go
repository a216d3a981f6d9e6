package scenes

import (
	"math"
	"math/rand/v2"
	"slices"
	"strings"

	"ionoscribe/demod"
	"ionoscribe/internal/grade"
	"ionoscribe/internal/mode"
	"ionoscribe/internal/traffic"
	"ionoscribe/samples"
	"ionoscribe/survey"
)

// Signal is a transmission of a scene, as it was sent.
type Signal struct {
	Kind         survey.Kind `json:"kind"`
	Variant      string      `json:"variant,omitempty"` // of the mode
	Detail       string      `json:"detail"`
	Hz           float64     `json:"hz"` // as a survey.Finding has it
	BeginSeconds float64     `json:"begin_seconds"`
	EndSeconds   float64     `json:"end_seconds"`
	SNR          float64     `json:"snr_db"`
	Channel      string      `json:"channel"`

	low, high float64 // edges that are kept free, Hz
	source    demod.SampleReader
	power     float64
}

// Scene is a passband of audio with some transmissions, and perhaps speech or static between two groups of them.
type Scene struct {
	Seed     uint64   `json:"seed"`
	Seconds  float64  `json:"seconds"`
	Signals  []Signal `json:"signals"`
	Between  string   `json:"between"` // what is between
	From, To float64  `json:"-"`       // seconds

	rng *rand.Rand
}

// Bounds of scenes.
const (
	sceneRate      = 12000.0 // Hz
	sceneLevel     = 0.005   // amplitude of noise in 2500 Hz: a signal of 30 dB stays below full scale
	sceneMost      = 6
	sceneBetween   = 18.0 // seconds
	sceneLow       = 330.0
	sceneHigh      = 3250.0
	sceneApart     = 130.0 // Hz between the edges of signals that sound at the same time
	sceneSilence   = 14.0  // seconds between signals on the same frequency
	nothingBetween = "nothing"
)

// sceneChannels are those through which all kinds can be received at all.
var sceneChannels = []string{"low-quiet", "low-moderate", "mid-quiet", "mid-moderate", "mid-disturbed", "high-quiet"}

// NewScene invents a scene of carriers and of transmissions of some modes, which are in the order of their bandwidths.
func NewScene(seed uint64, modes []*mode.Mode) (*Scene, error) {
	s := &Scene{Seed: seed, rng: rand.New(rand.NewPCG(seed, 0x7363656e65))}
	s.Seconds = math.Round(s.between(120, 240))
	s.From = s.between(0.4, 0.6)*s.Seconds - sceneBetween/2
	s.To = s.From + sceneBetween
	s.Between = []string{nothingBetween, "speech", "static"}[s.rng.IntN(3)]
	all := kindsOf(modes)
	drawn := make([]int, 1+s.rng.IntN(sceneMost))
	for i := range drawn {
		drawn[i] = s.rng.IntN(len(all))
	}
	slices.SortFunc(drawn, func(a, b int) int { return b - a }) // the widest first, while there is room
	for _, i := range drawn {
		for range 40 { // it may find no place
			g, err := s.draw(all[i])
			if err != nil {
				return nil, err
			}
			if s.place(&g) {
				s.Signals = append(s.Signals, g)
				break
			}
		}
	}
	return s, nil
}

// kind is what signals of a scene may be: a carrier, which is of no mode, a mode as it is usual, or a variant of it.
type kind struct {
	mode    *mode.Mode
	variant *mode.Variant
}

func kindsOf(modes []*mode.Mode) []kind {
	all := []kind{{}}
	for _, m := range modes {
		all = append(all, kind{mode: m})
		for i := range m.Variants {
			all = append(all, kind{m, &m.Variants[i]})
		}
	}
	return all
}

// names are those of a finding's kind and of the variant.
func (k kind) names() (name survey.Kind, variant string) {
	switch {
	case k.mode == nil:
		return survey.Carrier, ""
	case k.variant != nil:
		return survey.Kind(k.mode.Name), k.variant.Name
	}
	return survey.Kind(k.mode.Name), ""
}

func (s *Scene) between(a, b float64) float64 { return a + (b-a)*s.rng.Float64() }

// draw invents a signal, at no time yet.
func (s *Scene) draw(k kind) (g Signal, err error) {
	g.Kind, g.Variant = k.names()
	g.SNR = math.Round(s.between(0, 30))
	g.Channel = grade.NoChannel
	if s.rng.IntN(2) == 0 {
		g.Channel = sceneChannels[s.rng.IntN(len(sceneChannels))]
	}
	seconds := s.between(25, 65)
	seed := s.rng.Uint64()
	if k.mode == nil {
		g.Hz = s.between(sceneLow, sceneHigh)
		c, err := samples.NewCarrier(sceneRate, g.Hz, 1)
		if err != nil {
			return g, err
		}
		g.low, g.high, g.source, g.power = g.Hz, g.Hz, samples.NewLimit(c, seconds), c.Power()
		g.EndSeconds = seconds
	} else {
		invent := k.mode.Invent
		if k.variant != nil {
			invent = k.variant.Invent
		}
		v, err := invent(mode.Brief{Random: s.rng, SampleRate: sceneRate, Low: sceneLow, High: sceneHigh, Seconds: seconds, Short: true, Seed: seed, Text: s.text})
		if err != nil {
			return g, err
		}
		g.Hz, g.Detail = v.Hz, v.Detail
		g.low, g.high, g.source, g.power, g.EndSeconds = v.Low, v.High, v.Sound, v.Sound.Power(), v.Sound.Duration()
	}
	if g.Channel != grade.NoChannel {
		c, err := samples.FindChannel(g.Channel)
		if err != nil {
			return g, err
		}
		g.source, err = samples.NewFading(g.source, c.Fading(seed))
		return g, err
	}
	return g, nil
}

// text is of so many characters.
func (s *Scene) text(n int) string {
	var b strings.Builder
	groups := s.rng.IntN(2) == 0
	for b.Len() < max(n, 20) {
		if groups {
			b.WriteString(traffic.Group(s.rng))
		} else {
			b.WriteString(strings.Trim(traffic.Word(s.rng), ".,"))
		}
		b.WriteByte(' ')
	}
	return strings.TrimSpace(b.String())
}

// place finds a time for a signal; false: there is none, or another signal is there.
func (s *Scene) place(g *Signal) bool {
	const margin = 3
	from, to := margin*1.0, s.From-margin
	if s.rng.IntN(2) == 0 {
		from, to = s.To+margin, s.Seconds-margin
	}
	length := g.EndSeconds
	if length > to-from {
		return false
	}
	g.BeginSeconds = s.between(from, to-length)
	g.EndSeconds = g.BeginSeconds + length
	for _, o := range s.Signals {
		together := g.BeginSeconds < o.EndSeconds+sceneSilence && o.BeginSeconds < g.EndSeconds+sceneSilence
		if together && g.low < o.high+sceneApart && o.low < g.high+sceneApart {
			return false
		}
	}
	return true
}

// Source is the scene as audio.
func (s *Scene) Source() (demod.SampleReader, error) {
	noise, err := samples.NewNoise(samples.Silence(sceneRate, s.Seconds), samples.NoiseConfig{SignalPower: sceneLevel * sceneLevel, Seed: s.Seed})
	if err != nil {
		return nil, err
	}
	var all demod.SampleReader = noise
	add := func(src demod.SampleReader, begin, gain float64) error {
		late, err := samples.Concat(samples.Silence(sceneRate, begin), src)
		if err == nil {
			all, err = samples.NewMix(all, late, gain)
		}
		return err
	}
	for _, g := range s.Signals {
		if err := add(g.source, g.BeginSeconds, sceneLevel*math.Sqrt(math.Pow(10, g.SNR/10)/g.power)); err != nil {
			return nil, err
		}
	}
	length := s.To - s.From
	switch s.Between {
	case "speech":
		speech, err := samples.NewSpeech(sceneRate, 1, s.Seed)
		if err != nil {
			return nil, err
		}
		return all, add(samples.NewLimit(speech, length), s.From, sceneLevel*math.Pow(10, s.between(5, 25)/20))
	case "static":
		static, err := samples.NewCrashes(samples.Silence(sceneRate, length), samples.CrashConfig{
			NoiseConfig: samples.NoiseConfig{SignalPower: 1, SNRdB: -s.between(10, 35), Seed: s.Seed}, Seconds: s.between(0.005, 0.15), Share: s.between(0.02, 0.2)})
		if err != nil {
			return nil, err
		}
		return all, add(static, s.From, sceneLevel)
	}
	return all, nil
}
