package samples

import (
	"math"
	"testing"

	"ionoscribe/demod"
)

const tonePower = 0.5

// tone is a sine of peak 1 and power 1/2.
func tone(rate, hz, seconds float64) demod.SampleReader {
	return &sine{rate: rate, hz: hz, end: int(rate * seconds)}
}

// everything is a path with all stages.
func everything() Path {
	return Path{
		Seed: 11, TuningHz: 12.3, DriftHzPerSecond: 0.05,
		Fading: &FadingConfig{DelaySeconds: 2e-3, SpreadHz: 1},
		Interference: []Interferer{
			{Source: CarrierAt(700), LevelDB: -10, StartSeconds: 0.2, OffsetHz: 33},
			{Source: SomeSpeech, LevelDB: -20, Fading: &FadingConfig{SpreadHz: 0.5}},
		},
		Static:  &StaticConfig{NoiseConfig: NoiseConfig{SNRdB: 20}, Index: 0.1, GaussRatio: 0.1, BurstSeconds: 0.01},
		Crashes: &CrashConfig{NoiseConfig: NoiseConfig{SNRdB: -10}, Seconds: 0.02, Share: 0.1},
		Noise:   &NoiseConfig{SNRdB: 10},
		Hum:     &HumConfig{MainsHz: 50, LevelDB: -15},
		LowHz:   300, HighHz: 2700,
		AGC:   &AGCConfig{},
		Clip:  &ClipConfig{Level: 0.6, Soft: true},
		Clock: ClockConfig{PPM: 40, PPMPerHour: 10},
		Drops: &DropConfig{EverySeconds: 0.7, Seconds: 0.05},
	}
}

func through(t testing.TB, p Path, src demod.SampleReader) demod.SampleReader {
	t.Helper()
	s, err := p.Through(src, tonePower)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func TestEmptyPath(t *testing.T) {
	src := tone(8000, 1000, 1)
	if through(t, Path{}, src) != src {
		t.Error("an empty path adds a stage")
	}
}

// Each stage alone, and all of them: the same samples whatever the lengths of the reads, and no allocation.
func TestPathReads(t *testing.T) {
	all := everything()
	for name, p := range map[string]Path{
		"all": all, "fading": {Fading: all.Fading}, "interference": {Interference: all.Interference},
		"static": {Static: all.Static}, "crashes": {Crashes: all.Crashes}, "hum": {Hum: all.Hum},
		"band-pass": {LowHz: all.LowHz, HighHz: all.HighHz}, "agc": {AGC: all.AGC}, "clip": {Clip: all.Clip},
		"clock": {Clock: all.Clock}, "lost": {Drops: all.Drops}, "zeros": {Drops: &DropConfig{EverySeconds: 0.2, Seconds: 0.03, Zeros: true}},
		"white static": {Static: &StaticConfig{Index: 0.3}},
	} {
		whole := mustRead(t, through(t, p, tone(8000, 1000, 1.5)))
		for _, size := range []int{1, 7, 479, 0} {
			checkReads(t, through(t, p, tone(8000, 1000, 1.5)), whole, size)
		}
		s := through(t, p, tone(8000, 1000, 1e9))
		buf := make([]float32, 1000)
		if n := testing.AllocsPerRun(50, func() { s.ReadSamples(buf) }); n != 0 {
			t.Errorf("%s: %v allocations a read", name, n)
		}
	}
}

// added is the power of what a stage adds: the path with and without it, from one seed.
func added(t *testing.T, with, without Path, seconds float64) float64 {
	t.Helper()
	x, y := mustRead(t, through(t, with, tone(8000, 1000, seconds))), mustRead(t, through(t, without, tone(8000, 1000, seconds)))
	for i := range x {
		x[i] -= y[i]
	}
	return meanSquare(x)
}

// The definitions of the levels: over the mean power of the signal, noise in 2500 Hz; of the other stages none has an
// influence.
func TestPathLevels(t *testing.T) {
	base := everything()
	base.LowHz, base.HighHz, base.AGC, base.Clip, base.Clock, base.Drops = 0, 0, nil, nil, ClockConfig{}, nil
	cases := map[string]struct {
		take      func(*Path)
		want      float64 // power
		tolerance float64 // dB: 4 standard deviations
	}{
		"noise": {func(p *Path) { p.Noise = nil }, tonePower / 10 * 4000 / 2500, 0.08},
		"hum":   {func(p *Path) { p.Hum = nil }, tonePower * math.Pow(10, -1.5), 0.001},
		"static": {func(p *Path) { p.Static = nil }, tonePower / 100 * 4000 / 2500,
			4.34 * 4 * math.Sqrt(2*0.01/20*8.3)}, // variance of the power in a state: 1/(A(1+Γ)²) = 8.3
		"crashes": {func(p *Path) { p.Crashes = nil }, tonePower * 10 * 4000 / 2500 * 0.1, 4.34 * 4 / math.Sqrt(100)},
		"carrier": {func(p *Path) { p.Interference[0].LevelDB = -300 }, tonePower / 10 * 19.8 / 20, 0.02},
	}
	for name, c := range cases {
		p := base
		p.Interference = append([]Interferer(nil), base.Interference...)
		c.take(&p)
		got := 10 * math.Log10(added(t, base, p, 20)/c.want)
		t.Logf("%s: %+.3f dB", name, got)
		if math.Abs(got) > c.tolerance {
			t.Errorf("%s: the level is off by %.3f dB", name, got)
		}
	}
}

func TestPathSeeds(t *testing.T) {
	p := everything()
	x, again := mustRead(t, through(t, p, tone(8000, 1000, 1))), mustRead(t, through(t, p, tone(8000, 1000, 1)))
	p.Seed++
	other := mustRead(t, through(t, p, tone(8000, 1000, 1)))
	same := 0
	for i := range x {
		if x[i] != again[i] {
			t.Fatalf("sample %d is not the same again", i)
		}
		if i < len(other) && x[i] == other[i] {
			same++
		}
	}
	if same > 100 {
		t.Errorf("%d samples do not depend on the seed", same)
	}
	// Stages have seeds of their own: noise and crashes are not alike.
	seeds := map[uint64]bool{}
	for k := range 200 {
		seeds[p.seed(k)] = true
	}
	if len(seeds) != 200 {
		t.Errorf("%d seeds for 200 stages", len(seeds))
	}
}

// The stages come in the order said: the filter takes hum away, gain control comes after it, clipping last.
func TestPathOrder(t *testing.T) {
	x := mustRead(t, through(t, Path{
		Hum: &HumConfig{MainsHz: 50, LevelDB: 20}, Noise: &NoiseConfig{SNRdB: -10},
		LowHz: 800, HighHz: 1200, AGC: &AGCConfig{Target: 4}, Clip: &ClipConfig{Level: 0.25},
	}, tone(8000, 1000, 3)))
	clipped := 0
	for _, v := range x[8000:] {
		if math.Abs(float64(v)) > 0.25 {
			t.Fatalf("%v is above the clipping level", v)
		}
		if math.Abs(float64(v)) == 0.25 {
			clipped++
		}
	}
	if share := float64(clipped) / float64(len(x)-8000); share < 0.5 {
		t.Errorf("only %.2f of the samples are clipped: the gain control comes after", share)
	}
	hum := tones(x[8000:], 8000, 50)[0]
	if hum > 0.01 {
		t.Errorf("hum of %v behind the filter", hum)
	}
}

func TestPathErrors(t *testing.T) {
	nan := math.NaN()
	for name, p := range map[string]Path{
		"tuning": {TuningHz: 9000}, "drift": {DriftHzPerSecond: nan}, "fading": {Fading: &FadingConfig{DelaySeconds: 1}},
		"source": {Interference: []Interferer{{}}}, "carrier": {Interference: []Interferer{{Source: CarrierAt(5000)}}},
		"start":  {Interference: []Interferer{{Source: SomeSpeech, StartSeconds: nan}}},
		"offset": {Interference: []Interferer{{Source: SomeSpeech, OffsetHz: nan}}},
		"level":  {Interference: []Interferer{{Source: SomeSpeech, LevelDB: nan}}},
		"faded":  {Interference: []Interferer{{Source: SomeSpeech, Fading: &FadingConfig{SpreadHz: -1}}}},
		"power": {Interference: []Interferer{{Source: func(rate float64, _ uint64) (Signal, error) {
			return NewCarrier(rate, 100, 0)
		}}}},
		"index": {Static: &StaticConfig{}}, "ratio": {Static: &StaticConfig{Index: 1, GaussRatio: -1}},
		"burst": {Static: &StaticConfig{Index: 1, BurstSeconds: nan}}, "static": {Static: &StaticConfig{Index: 1, NoiseConfig: NoiseConfig{SNRdB: nan}}},
		"crash": {Crashes: &CrashConfig{Share: 0.5}}, "share": {Crashes: &CrashConfig{Seconds: 1, Share: 1}},
		"noise": {Noise: &NoiseConfig{SNRdB: nan}}, "mains": {Hum: &HumConfig{}}, "hum": {Hum: &HumConfig{MainsHz: 50, LevelDB: nan}},
		"band": {LowHz: 1000, HighHz: 900}, "high": {HighHz: 4000}, "low": {LowHz: -1},
		"target": {AGC: &AGCConfig{Target: -1}}, "attack": {AGC: &AGCConfig{AttackSeconds: nan}}, "gain": {AGC: &AGCConfig{MaxGainDB: 1000}},
		"clip": {Clip: &ClipConfig{}}, "ppm": {Clock: ClockConfig{PPM: 1e6}}, "hour": {Clock: ClockConfig{PPMPerHour: nan}},
		"swing": {Clock: ClockConfig{SwingPPM: 1}}, "drops": {Drops: &DropConfig{Seconds: 1}}, "dropped": {Drops: &DropConfig{EverySeconds: 1}},
	} {
		if s, err := p.Through(Silence(8000, 1), 1); err == nil || s != nil {
			t.Errorf("%s: %v, error %v", name, s, err)
		}
	}
	for name, err := range map[string]error{
		"nil": second(Path{}.Through(nil, 1)), "power": second(Path{}.Through(Silence(8000, 1), 0)),
		"speech": second(NewSpeech(5000, 1, 0)), "speech power": second(NewSpeech(8000, nan, 0)),
		"carrier": second(NewCarrier(0, 1, 1)), "amplitude": second(NewCarrier(8000, 1, -1)),
		"hum": second(NewHum(1, 50, 1)), "hum amplitude": second(NewHum(8000, 50, nan)),
		"mix": second(NewMix(nil, Silence(8000, 1), 1)), "rates": second(NewMix(Silence(8000, 1), Silence(9000, 1), 1)),
		"band": second(NewBandpass(nil, 1, 2)), "agc": second(NewAGC(nil, AGCConfig{})), "clip": second(NewClip(nil, ClipConfig{Level: 1})),
		"drop": second(NewDrop(nil, DropConfig{})), "drift": second(NewClockDrift(nil, ClockConfig{})),
		"static": second(NewStatic(nil, StaticConfig{})), "crashes": second(NewCrashes(nil, CrashConfig{})),
	} {
		if err == nil {
			t.Errorf("%s: no error", name)
		}
	}
}
