package grade

import (
	"context"
	"fmt"
	"math/rand/v2"
	"strings"

	"ionoscribe/cw"
	"ionoscribe/samples"
)

// cwSpacingStudy asks whether words are told from characters that stand far apart, as they are sent to learners. The gaps
// of a hand overlap: where even an observer who knows their distributions takes more than one in twenty for the other kind,
// the case says so.
var cwSpacingStudy = Study{
	Name:   "cw-spacing",
	Title:  "Morse characters at 15 to 30 words a minute, their text 2 to 5 times slower, 0 to 20 dB: of twenty gaps at most one is wrong",
	Unit:   "errors %",
	Trials: 200,
	Trial: func(_ context.Context, seed uint64) (StudyTrial, error) {
		rng := rand.New(rand.NewPCG(seed, 0x73706163))
		config := samples.CWConfig{SampleRate: cwSampleRate, WPM: 15 + 15*rng.Float64(), Seed: rng.Uint64()}
		config.FarnsworthWPM = config.WPM / (2 + 3*rng.Float64())
		config.PitchHz = cwLowest + (cwHighest-cwLowest)*rng.Float64()
		plain, name := rng.IntN(2) == 0, "machine"
		if rng.IntN(2) == 0 {
			name, config.Sender = "hand", samples.StraightKey
		}
		config.Text = CWCase{Plain: plain}.message(rng, 30+rng.IntN(90))
		snr := 20 * rng.Float64()
		signal, err := samples.NewCW(config)
		if err != nil {
			return StudyTrial{}, err
		}
		src, err := samples.Path{Seed: rng.Uint64(), Noise: &samples.NoiseConfig{SNRdB: snr}}.Through(signal, signal.Power())
		if err != nil {
			return StudyTrial{}, err
		}
		var heard strings.Builder
		for c, err := range cw.All(src, cw.Config{}) {
			if err != nil {
				return StudyTrial{}, err
			}
			heard.WriteString(c.Text)
		}
		sent := signal.Text()
		e, gaps := spaced([]rune(sent), []rune(heard.String()))
		n := float64(len([]rune(sent)))
		observer, err := newGapObserver(config)
		if err != nil {
			return StudyTrial{}, err
		}
		least, lost := observer.wrong(signal), ""
		if float64(least) > n/20 {
			name += ", overlapping"
		}
		if spacingLost([]rune(sent), []rune(heard.String())) {
			lost = spacingIsLost
		}
		return StudyTrial{
			Case: name, Sure: true, Right: float64(gaps) <= n/20 && lost == "", Figure: min(100, 100*float64(e.Total())/n),
			Note: fmt.Sprintf("%s%.1f words a minute as %.1f, %.1f dB, %d gaps wrong, %d at best: sent %s, printed %s",
				lost, config.WPM, config.FarnsworthWPM, snr, gaps, least, sent, heard.String()),
		}, nil
	},
}

// spacingIsLost begins the note of a trial whose spacing is wrong for good.
const spacingIsLost = "spacing lost: "

// spacingLost says whether words are lost for good: in the second half of what was heard every other character has a space
// after it, or none has although three should.
func spacingLost(sent, heard []rune) bool {
	spaces := func(text []rune) (n, others float64) {
		for _, r := range text[len(text)/2:] {
			if r == ' ' {
				n++
			} else {
				others++
			}
		}
		return n, others
	}
	should, _ := spaces(sent)
	has, others := spaces(heard)
	return has > others/2 || has == 0 && should >= 3
}

// spaced are the edits between texts, and how many spaces of the one that was heard are wrong or missing.
func spaced(sent, heard []rune) (e Edits, wrong int) {
	e, right := align(sent, heard)
	for _, r := range sent {
		if r == ' ' {
			wrong++
		}
	}
	for i, r := range heard {
		switch {
		case r == ' ' && right[i]:
			wrong--
		case r == ' ':
			wrong++
		}
	}
	return e, wrong
}
