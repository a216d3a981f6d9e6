package samples

import (
	"errors"
	"fmt"
	"math"

	"ionoscribe/demod"
)

// AGCConfig describes the automatic gain control of a receiver; a zero field is the default.
type AGCConfig struct {
	Target        float64 // peak amplitude that a steady signal is brought to
	AttackSeconds float64 // time constant when the signal grows
	DecaySeconds  float64 // time constant when it fades, after a peak
	MaxGainDB     float64 // up to 200 dB
}

// Defaults of AGCConfig: common practice for telegraphy.
const (
	DefaultAGCTarget     = 0.5
	DefaultAttackSeconds = 0.002
	DefaultDecaySeconds  = 0.5
	DefaultMaxGainDB     = 40.0
)

// AGC is a gain that falls when the signal, or one beside it, is strong: everything is pumped.
//
// It is fed forward from a decoupled peak detector (Giannoulis, Massberg and Reiss, "Digital dynamic range compressor
// design", JAES 60, 2012, from memory): a peak of |x| is held and falls with the decay time; the level follows it
// with the attack time; the gain is target over level.
type AGC struct {
	src           demod.SampleReader
	target        float64
	attack, decay float64 // share that stays after a sample
	floor         float64
	peak, level   float64
}

// NewAGC controls the gain of src. It begins with a gain of one.
func NewAGC(src demod.SampleReader, c AGCConfig) (*AGC, error) {
	setDefault(&c.Target, DefaultAGCTarget)
	setDefault(&c.AttackSeconds, DefaultAttackSeconds)
	setDefault(&c.DecaySeconds, DefaultDecaySeconds)
	setDefault(&c.MaxGainDB, DefaultMaxGainDB)
	switch {
	case src == nil:
		return nil, errors.New("gain control: no signal")
	case !(c.Target > 0 && c.Target <= 1e6):
		return nil, fmt.Errorf("gain control: target of %v", c.Target)
	case !(c.AttackSeconds > 0 && c.AttackSeconds <= 3600) || !(c.DecaySeconds > 0 && c.DecaySeconds <= 3600):
		return nil, fmt.Errorf("gain control: times of %v and %v s are not within 0 and an hour", c.AttackSeconds, c.DecaySeconds)
	case !(math.Abs(c.MaxGainDB) <= 200):
		return nil, fmt.Errorf("gain control: a largest gain of %v dB is not within ±200 dB", c.MaxGainDB)
	}
	return &AGC{
		src:    src,
		target: c.Target,
		attack: math.Exp(-1 / (c.AttackSeconds * src.SampleRate())),
		decay:  math.Exp(-1 / (c.DecaySeconds * src.SampleRate())),
		floor:  c.Target / math.Pow(10, c.MaxGainDB/20),
		peak:   c.Target,
		level:  c.Target,
	}, nil
}

// SampleRate is in Hz.
func (a *AGC) SampleRate() float64 { return a.src.SampleRate() }

// ReadSamples implements demod.SampleReader.
func (a *AGC) ReadSamples(dst []float32) (int, error) {
	k, err := a.src.ReadSamples(dst)
	for i, v := range dst[:k] {
		a.peak = max(math.Abs(float64(v)), a.decay*a.peak, a.floor)
		a.level = a.peak + a.attack*(a.level-a.peak)
		dst[i] = float32(float64(v) * a.target / a.level)
	}
	return k, err
}
