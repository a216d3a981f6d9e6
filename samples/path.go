package samples

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"

	"ionoscribe/demod"
)

// Path is everything between a sender and a decoder; the zero value changes nothing. Signals pass the stages in the
// order of the fields:
//
//	tuning → fading → other signals → static, crashes → white noise → hum → band-pass → AGC → clip → clock → drops
//
// Levels and SNRs refer to the mean power of the clean signal, and hold exactly up to the band-pass. Fields Seed and
// SignalPower of the stages' configurations are not looked at: Through sets them.
type Path struct {
	Seed uint64 // each stage derives its own from it, so that one more stage leaves the others as they were

	TuningHz         float64 // the signal is heard higher by that much
	DriftHzPerSecond float64 // and by that much more each second
	Fading           *FadingConfig
	Interference     []Interferer
	Static           *StaticConfig
	Crashes          *CrashConfig
	Noise            *NoiseConfig
	Hum              *HumConfig

	LowHz, HighHz float64 // band-pass; 0: that side is open
	AGC           *AGCConfig
	Clip          *ClipConfig
	Clock         ClockConfig
	Drops         *DropConfig
}

// Signal is a signal that knows its mean power, as all generators of this package do.
type Signal interface {
	demod.SampleReader
	Power() float64
}

// Interferer is another signal that is heard with the one wanted.
type Interferer struct {
	// Source makes the signal, for a sample rate in Hz and a seed.
	Source       func(rate float64, seed uint64) (Signal, error)
	LevelDB      float64 // mean power over that of the signal wanted
	StartSeconds float64 // when it begins; a signal that ends stays away
	OffsetHz     float64 // the signal is moved up by that much
	Fading       *FadingConfig
}

// HumConfig describes hum; see [NewHum].
type HumConfig struct {
	MainsHz float64 // 50 or 60
	LevelDB float64 // mean power with all harmonics, over that of the signal
}

// CarrierAt makes a carrier for an [Interferer].
func CarrierAt(hz float64) func(rate float64, seed uint64) (Signal, error) {
	return func(rate float64, _ uint64) (Signal, error) { return NewCarrier(rate, hz, 1) }
}

// SomeSpeech makes speech-like noise for an [Interferer].
func SomeSpeech(rate float64, seed uint64) (Signal, error) { return NewSpeech(rate, 1, seed) }

// Numbers of the stages that have a seed; interferers follow, two each.
const (
	seedFading = iota
	seedStatic
	seedCrashes
	seedNoise
	seedDrops
	seedInterferer = 100
)

func (p *Path) seed(stage int) uint64 { return rand.NewPCG(p.Seed, uint64(stage)).Uint64() }

// Through sends src, a signal of a mean power (that of the key down for Morse), along the path.
func (p Path) Through(src demod.SampleReader, power float64) (demod.SampleReader, error) {
	if src == nil {
		return nil, errors.New("path: no signal")
	}
	if !(power > 0) || math.IsInf(power, 0) {
		return nil, errors.New("path: the signal power must be given, and be positive")
	}
	c := chain{src: src}
	if p.TuningHz != 0 || p.DriftHzPerSecond != 0 {
		add(&c, func(s demod.SampleReader) (*Tuning, error) { return NewTuning(s, p.TuningHz, p.DriftHzPerSecond) })
	}
	c.fade(p.Fading, p.seed(seedFading))
	for i, other := range p.Interference {
		add(&c, func(s demod.SampleReader) (*Mix, error) { return p.interfere(s, power, i, other) })
	}
	if p.Static != nil {
		static := *p.Static
		static.SignalPower, static.Seed = power, p.seed(seedStatic)
		add(&c, func(s demod.SampleReader) (*Static, error) { return NewStatic(s, static) })
	}
	if p.Crashes != nil {
		crashes := *p.Crashes
		crashes.SignalPower, crashes.Seed = power, p.seed(seedCrashes)
		add(&c, func(s demod.SampleReader) (*Crashes, error) { return NewCrashes(s, crashes) })
	}
	if p.Noise != nil {
		noise := *p.Noise
		noise.SignalPower, noise.Seed = power, p.seed(seedNoise)
		add(&c, func(s demod.SampleReader) (*Noise, error) { return NewNoise(s, noise) })
	}
	if p.Hum != nil {
		add(&c, func(s demod.SampleReader) (*Mix, error) {
			hum, err := NewHum(s.SampleRate(), p.Hum.MainsHz, 1)
			if err != nil {
				return nil, err
			}
			return NewMix(s, hum, LevelGain(power, hum.Power(), p.Hum.LevelDB))
		})
	}
	p.receive(&c)
	return c.src, c.err
}

// receive adds the stages of the receiver.
func (p *Path) receive(c *chain) {
	if p.LowHz != 0 || p.HighHz != 0 {
		add(c, func(s demod.SampleReader) (*Bandpass, error) { return NewBandpass(s, p.LowHz, p.HighHz) })
	}
	if p.AGC != nil {
		add(c, func(s demod.SampleReader) (*AGC, error) { return NewAGC(s, *p.AGC) })
	}
	if p.Clip != nil {
		add(c, func(s demod.SampleReader) (*Clip, error) { return NewClip(s, *p.Clip) })
	}
	if p.Clock != (ClockConfig{}) {
		add(c, func(s demod.SampleReader) (*ClockError, error) { return NewClockDrift(s, p.Clock) })
	}
	if p.Drops != nil {
		drops := *p.Drops
		drops.Seed = p.seed(seedDrops)
		add(c, func(s demod.SampleReader) (*Drop, error) { return NewDrop(s, drops) })
	}
}

// interfere adds another signal, the one of number i.
func (p *Path) interfere(src demod.SampleReader, power float64, i int, other Interferer) (*Mix, error) {
	if other.Source == nil {
		return nil, errors.New("other signal: no source")
	}
	if !(other.StartSeconds >= 0) {
		return nil, fmt.Errorf("other signal: a start at %v s", other.StartSeconds)
	}
	signal, err := other.Source(src.SampleRate(), p.seed(seedInterferer+2*i))
	if err != nil {
		return nil, fmt.Errorf("other signal: %w", err)
	}
	c := chain{src: signal}
	if other.OffsetHz != 0 {
		add(&c, func(s demod.SampleReader) (*Tuning, error) { return NewTuning(s, other.OffsetHz, 0) })
	}
	c.fade(other.Fading, p.seed(seedInterferer+2*i+1))
	if other.StartSeconds > 0 {
		add(&c, func(s demod.SampleReader) (demod.SampleReader, error) {
			return Concat(Silence(s.SampleRate(), other.StartSeconds), s)
		})
	}
	if c.err != nil {
		return nil, fmt.Errorf("other signal: %w", c.err)
	}
	return NewMix(src, c.src, LevelGain(power, signal.Power(), other.LevelDB))
}

// chain is a row of stages, up to the first that failed.
type chain struct {
	src demod.SampleReader
	err error
}

func (c *chain) fade(f *FadingConfig, seed uint64) {
	if f != nil {
		fading := *f
		fading.Seed = seed
		add(c, func(s demod.SampleReader) (*Fading, error) { return NewFading(s, fading) })
	}
}

// add a stage; a failure leaves no signal.
func add[T demod.SampleReader](c *chain, stage func(demod.SampleReader) (T, error)) {
	if c.err != nil {
		return
	}
	next, err := stage(c.src)
	if err != nil {
		c.src, c.err = nil, err
		return
	}
	c.src = next
}
