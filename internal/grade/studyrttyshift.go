package grade

import (
	"context"
	"fmt"
	"math/rand/v2"

	"ionoscribe/demod"
	"ionoscribe/internal/traffic"
	"ionoscribe/rtty"
	"ionoscribe/samples"
)

// rttyLostShiftStudy asks how soon the case is right again after a shift that was not heard, in text that tells.
var rttyLostShiftStudy = Study{
	Name:   "rtty-lost-shift",
	Title:  "one shift in ten destroyed, by a crash or a hole: no more than seven errors for each",
	Unit:   "errors",
	Trials: 200,
	Trial:  rttyLostShiftTrial,
}

// wordCharacters is what a destroyed shift may cost: itself, a word and a space.
const wordCharacters = 7

func rttyLostShiftTrial(_ context.Context, seed uint64) (StudyTrial, error) {
	rng := rand.New(rand.NewPCG(seed, 0x6c6f7374))
	s := newRTTYSender(rng, []traffic.Kind{traffic.Fox, traffic.Calls, traffic.Synop, traffic.Ship, traffic.List, traffic.Bulletin})
	hole := rng.IntN(2) == 0
	destroyed := 0
	g, err := s.hear(samples.Path{}, func(signal *samples.RTTY) (demod.SampleReader, error) {
		c := samples.DamageConfig{Gain: 1, NoisePower: 100 * signal.Power(), Seed: rng.Uint64()}
		if hole {
			c.Gain, c.NoisePower = 0, 0
		}
		element := 1 / s.config.Baud
		printed := false
		for ch := range signal.Sent() {
			printed = printed || ch.Rune != 0
			shift := ch.Code == rtty.LettersShift || ch.Code == rtty.FiguresShift
			if printed && shift && rng.IntN(10) == 0 {
				c.Spans = append(c.Spans, [2]float64{ch.At, ch.At + 6*element})
				destroyed++
			}
		}
		return samples.NewDamage(signal, c)
	})
	t := StudyTrial{Case: "hole", Sure: sureOf(g.Calibration), Figure: float64(g.Total()) / float64(max(1, destroyed))}
	if !hole {
		t.Case = "crash"
	}
	t.Right = g.Total() <= wordCharacters*destroyed
	t.Note = fmt.Sprintf("%v, %d destroyed", s, destroyed)
	if !t.Right {
		t.Note += ": sent " + s.config.Text + ", printed " + g.printed
	}
	return t, err
}
