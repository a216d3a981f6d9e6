package grade

import (
	"fmt"
	"math/rand/v2"

	"ionoscribe/demod"
	"ionoscribe/internal/traffic"
	"ionoscribe/rtty"
	"ionoscribe/samples"
)

// rttySender is a teleprinter as one is heard on the air.
type rttySender struct {
	kind   traffic.Kind
	config samples.RTTYConfig
	snr    float64 // dB in 2500 Hz
	seed   uint64
}

// rttyRates are rates in baud and shifts in Hz of the studies.
var rttyRates = [][2]float64{{rtty.Baud45, 170}, {50, 170}, {50, 450}, {50, 85}, {75, 170}, {75, 850}, {100, 850}, {100, 170}}

// rttySNRs are those of the studies; the last is that of a clean signal.
var rttySNRs = []float64{3, 6, 10, 20, 50}

// newRTTYSender invents a sender of a message of some kind, and its habits.
func newRTTYSender(rng *rand.Rand, kinds []traffic.Kind) rttySender {
	s := rttySender{kind: kinds[rng.IntN(len(kinds))], snr: rttySNRs[rng.IntN(len(rttySNRs))], seed: rng.Uint64()}
	rate := rttyRates[rng.IntN(len(rttyRates))]
	s.config = samples.RTTYConfig{
		Text:         traffic.Message(s.kind, rng, 60+rng.IntN(240)),
		Baud:         rate[0],
		ShiftHz:      rate[1],
		CentreHz:     samples.DefaultRTTYCentreHz + tuneHz*(2*rng.Float64()-1),
		Inverted:     rng.IntN(2) == 0,
		StopElements: []float64{1, 1.5, 1.5, 2}[rng.IntN(4)],
		Diddle:       rng.IntN(2) == 0, // the idle before and after, and pauses, are of shifts
		LeadSeconds:  0.5 + 3*rng.Float64(),
		TrailSeconds: 2,
		Encoder:      rtty.Encoder{DoubleReturn: rng.IntN(2) == 0, ShiftAfterSpace: rng.IntN(4) == 0},
		Seed:         s.seed,
	}
	if rng.IntN(4) == 0 {
		s.config.GapSeconds = 0.3 * rng.Float64()
	}
	return s
}

func (s rttySender) String() string {
	c := &s.config
	return fmt.Sprintf("%s, %g dB, %g Bd, %g Hz, stop %g, gaps %.2f s, idle shifts %v", s.kind, s.snr, c.Baud, c.ShiftHz, c.StopElements, c.GapSeconds, c.Diddle)
}

// hear receives the sender through a path and grades what was printed; damage, if not nil, spoils the clean signal.
func (s rttySender) hear(path samples.Path, damage func(*samples.RTTY) (demod.SampleReader, error)) (g TextGrade, err error) {
	signal, err := samples.NewRTTY(s.config)
	if err != nil {
		return g, err
	}
	var src demod.SampleReader = signal
	if damage != nil {
		if src, err = damage(signal); err != nil {
			return g, err
		}
	}
	path.Seed = s.seed
	path.Noise = &samples.NoiseConfig{SNRdB: s.snr}
	if src, err = path.Through(src, signal.Power()); err != nil {
		return g, err
	}
	heard, err := RTTY(RTTYCase{}).Receive(src)
	if err != nil {
		return g, err
	}
	start := 0.0
	for c := range signal.Sent() {
		if c.Rune != 0 {
			start = c.At
			break
		}
	}
	g.Mode, g.printed = "rtty", heardText(heard)
	for _, c := range heard {
		if c.At < start-3/s.config.Baud { // an element or two are wrong timing
			g.before++
		}
	}
	return g, g.score([]rune(s.config.Text), heard, start)
}

func heardText(heard []HeardChar) string {
	text := make([]rune, len(heard))
	for i, c := range heard {
		text[i] = c.Rune
	}
	return string(text)
}

// sureOf says whether the mean confidence says that a message is right.
func sureOf(c Calibration) bool {
	sum, heard := 0.0, 0
	for _, b := range c {
		sum += b.Sum
		heard += b.Heard
	}
	return heard > 0 && sum >= 0.95*float64(heard)
}
