package cw

import (
	"fmt"
	"math"
)

// DotSeconds is the length of a dot at wpm words a minute: 60 s/wpm/WordDots = 1.2 s/wpm.
func DotSeconds(wpm float64) float64 { return 60.0 / WordDots / wpm }

// WPM is the speed at which a dot lasts so many seconds.
func WPM(dotSeconds float64) float64 { return 60.0 / WordDots / dotSeconds }

// Timing is how long a machine holds what it sends, in seconds.
type Timing struct {
	Dot, Dash, Gap, CharacterGap, WordGap float64
}

// NewTiming is the timing at wpm words a minute, by ITU-R M.1677-1, part I, clause 2.
func NewTiming(wpm float64) Timing {
	dot := DotSeconds(wpm)
	return Timing{dot, DashDots * dot, GapDots * dot, CharacterGapDots * dot, WordGapDots * dot}
}

// Farnsworth is the timing of characters sent at characterWPM with wider gaps between them, so that text comes at
// textWPM, not above the former (J. Bloom, ARRL, QEX, April 1990). A word has 31 dots within its characters and 19 in
// gaps around them, so the gaps last in all
//
//	t = 60/s - 37.2/c = (60c - 37.2s)/(sc) seconds
//
// of which a gap between characters is 3/19 and that between words 7/19.
func Farnsworth(characterWPM, textWPM float64) (Timing, error) {
	if !(textWPM > 0 && textWPM <= characterWPM) || math.IsInf(characterWPM, 0) {
		return Timing{}, fmt.Errorf("text at %v words a minute cannot be made of characters at %v", textWPM, characterWPM)
	}
	const within = 31
	t := NewTiming(characterWPM)
	gaps := 60/textWPM - within*t.Dot
	t.CharacterGap = gaps * CharacterGapDots / (WordDots - within)
	t.WordGap = gaps * WordGapDots / (WordDots - within)
	return t, nil
}
