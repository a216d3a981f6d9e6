package main

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/spf13/pflag"

	"ionoscribe/internal/flags"
	"ionoscribe/internal/grade"
	"ionoscribe/internal/mode"
	"ionoscribe/samples"
)

// pathOptions say what lies between the sender and the recording.
type pathOptions struct {
	snr                      float64
	channel                  string
	delay, spread            float64
	others                   []string
	static, staticIndex, hum float64
	crashes                  string
	mains                    float64
	low, high                float64
	agc                      bool
	clip                     float64
	clockError, clockDrift   float64
	tuningError, tuningDrift float64
	drops                    string
	seed                     uint64
}

const pathHelp = `What spoils the signal comes in this order: tuning error, fading, other signals, static, crashes, white
noise, hum, and then the receiver: band-pass, gain control, clipping, sample clock, lost blocks. Levels and
ratios refer to the mean power of the clean signal. The same --seed spoils in the same way.`

func (o *pathOptions) addFlags(f *pflag.FlagSet) {
	flags.Under(flags.TheWay, f, func(f *pflag.FlagSet) {
		none := func(p *float64, name, usage string) {
			f.Float64Var(p, name, math.Inf(1), usage)
			f.Lookup(name).DefValue = "0" // not shown
		}
		none(&o.snr, "snr", "`DB` of signal over white noise in 2500 Hz (default: no noise)")
		f.StringVar(&o.channel, "channel", grade.NoChannel, "`NAME` of a fading channel of ITU-R F.1487: "+strings.Join(channelNames(), ", "))
		flags.Choices(f, "channel", channelNames()...)
		f.Float64Var(&o.delay, "delay", 0, "`MS` by which the second of two fading paths is late, instead of --channel")
		f.Float64Var(&o.spread, "spread", 0, "`Hz` of Doppler spread of each of two paths, instead of --channel")
		f.StringArrayVar(&o.others, "other", nil, "another signal, `KIND,DB,HZ`: "+inWords(otherKinds(), "or")+", its level over the signal and its frequency (speech has none); can be repeated")
		none(&o.static, "static", "`DB` of signal over impulsive noise in 2500 Hz, by Middleton's class A model (default: none)")
		f.Float64Var(&o.staticIndex, "static-index", 0.1, "`INDEX` of the impulses: 0.01 few and strong, 1 almost Gaussian")
		f.StringVar(&o.crashes, "crashes", "", "static crashes, `DB,SHARE,MS`: signal over a crash in 2500 Hz, share of the time, length")
		none(&o.hum, "hum", "`DB` of mains hum over the signal (default: none)")
		f.Float64Var(&o.mains, "mains", 50, "`Hz` of the mains")
		f.Float64Var(&o.low, "low", 0, "`Hz` at which the receiver's band-pass begins; 0 leaves it open")
		f.Float64Var(&o.high, "high", 0, "`Hz` at which the receiver's band-pass ends; 0 leaves it open")
		f.BoolVar(&o.agc, "agc", false, "let the receiver's gain control pump")
		f.Float64Var(&o.clip, "clip", 0, "`LEVEL` at which the sound is clipped, 1 being full scale; 0 does not clip")
		f.Float64Var(&o.clockError, "clock-error", 0, "`PPM` by which the recording's sample clock is fast")
		f.Float64Var(&o.clockDrift, "clock-drift", 0, "`PPM` by which it is faster after an hour")
		f.Float64Var(&o.tuningError, "tuning-error", 0, "`Hz` by which the receiver makes the signal too high")
		f.Float64Var(&o.tuningDrift, "drift", 0, "`Hz` a second by which it makes it higher and higher")
		f.StringVar(&o.drops, "drops", "", "lost blocks, `EVERY,SECONDS`: mean time between them and their length, in seconds")
		f.Uint64Var(&o.seed, "seed", 1, "`NUMBER` that all noise and fading follow from")
	})
}

// path checks the options as far as the stages do not do so themselves.
func (o *pathOptions) path() (p samples.Path, err error) {
	p = samples.Path{
		Seed: o.seed, TuningHz: o.tuningError, DriftHzPerSecond: o.tuningDrift, LowHz: o.low, HighHz: o.high,
		Clock: samples.ClockConfig{PPM: o.clockError, PPMPerHour: o.clockDrift},
	}
	switch {
	case o.channel != grade.NoChannel && (o.delay != 0 || o.spread != 0):
		return p, usageError{fmt.Errorf("--channel %s goes with neither --delay nor --spread", o.channel)}
	case o.channel != grade.NoChannel:
		c, err := samples.FindChannel(o.channel)
		if err != nil {
			return p, usageError{fmt.Errorf("--channel: %w", err)}
		}
		fading := c.Fading(0)
		p.Fading = &fading
	case o.delay != 0 || o.spread != 0:
		p.Fading = &samples.FadingConfig{DelaySeconds: o.delay / 1000, SpreadHz: o.spread}
	}
	for _, s := range o.others {
		other, err := parseOther(s)
		if err != nil {
			return p, usageError{fmt.Errorf("--other %s: %w", s, err)}
		}
		p.Interference = append(p.Interference, other)
	}
	if !math.IsInf(o.snr, 1) {
		p.Noise = &samples.NoiseConfig{SNRdB: o.snr}
	}
	if !math.IsInf(o.static, 1) {
		// A hundredth of the power is Gaussian, and a burst lasts 5 ms in the mean (common practice).
		p.Static = &samples.StaticConfig{NoiseConfig: samples.NoiseConfig{SNRdB: o.static}, Index: o.staticIndex, GaussRatio: 0.01, BurstSeconds: 5e-3}
	}
	if o.crashes != "" {
		v, err := flags.Numbers(o.crashes, 3)
		if err != nil {
			return p, usageError{fmt.Errorf("--crashes %s: %w", o.crashes, err)}
		}
		p.Crashes = &samples.CrashConfig{NoiseConfig: samples.NoiseConfig{SNRdB: v[0]}, Share: v[1], Seconds: v[2] / 1000}
	}
	if !math.IsInf(o.hum, 1) {
		p.Hum = &samples.HumConfig{MainsHz: o.mains, LevelDB: o.hum}
	}
	if o.agc {
		p.AGC = &samples.AGCConfig{}
	}
	if o.clip != 0 {
		p.Clip = &samples.ClipConfig{Level: o.clip}
	}
	if o.drops != "" {
		v, err := flags.Numbers(o.drops, 2)
		if err != nil {
			return p, usageError{fmt.Errorf("--drops %s: %w", o.drops, err)}
		}
		p.Drops = &samples.DropConfig{EverySeconds: v[0], Seconds: v[1]}
	}
	return p, nil
}

// parseOther reads KIND,DB,HZ.
func parseOther(s string) (o samples.Interferer, err error) {
	kind, rest, _ := strings.Cut(s, ",")
	n := 2
	if kind == "speech" {
		n = 1
	}
	v, err := flags.Numbers(rest, n)
	if err != nil {
		return o, err
	}
	o.LevelDB = v[0]
	switch kind {
	case "carrier":
		o.Source = samples.CarrierAt(v[1])
	case "speech":
		o.Source = samples.SomeSpeech
	default:
		m := mode.Find(modesThat(isHeardBeside), kind)
		if m == nil {
			return o, fmt.Errorf("%q is none of %s", kind, strings.Join(otherKinds(), ", "))
		}
		o.Source = m.Beside(v[1])
	}
	return o, nil
}

// otherKinds are those of --other.
func otherKinds() []string {
	return slices.Concat([]string{"carrier"}, names(modesThat(isHeardBeside)), []string{"speech"})
}

// headroom is the amplitude of a signal, at most that of samples.DefaultAmplitude, which leaves room for four standard
// deviations of all that is added to it. Its power is half the square of its amplitude.
func headroom(p *samples.Path, rate float64) float64 {
	db := func(db float64) float64 { return math.Pow(10, db/10) }
	band := rate / 2 / samples.NoiseBandwidthHz
	added := 0.0 // over the signal's power
	if p.Noise != nil {
		added += band * db(-p.Noise.SNRdB)
	}
	if p.Static != nil {
		added += band * db(-p.Static.SNRdB)
	}
	if p.Crashes != nil {
		added += band * db(-p.Crashes.SNRdB)
	}
	if p.Hum != nil {
		added += db(p.Hum.LevelDB)
	}
	for _, o := range p.Interference {
		added += db(o.LevelDB)
	}
	peak := 1.0 // of the signal over its amplitude
	if p.Fading != nil {
		peak = 2.5 // a Rayleigh fading signal is that strong for 0.2 % of the time: exp(-2.5²)
	}
	return max(1e-6, min(samples.DefaultAmplitude, 1/(peak+4*math.Sqrt(added/2))))
}

func channelNames() []string {
	names := []string{grade.NoChannel}
	for _, c := range samples.Channels {
		names = append(names, c.Name)
	}
	return names
}
