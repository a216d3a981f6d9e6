package survey

import "ionoscribe/internal/mode"

const (
	// lineMarginHz is what a cut has on each side of a line: the keying of Morse of 60 words a minute, and edgeHz.
	lineMarginHz = 90.0
	// A keyed line: Morse of 10 words a minute has 2.3 marks a second (PARIS: 14), a steady tone that fades by 1 Hz one fade or less.
	keyedTurns = 1.2
	keyedOff   = 0.2
	leastMarks = 12               // four or five characters
	mostStray  = 0.27             // hands stray by 0.1 to 0.2; lengths at random by 0.3 and more
	farStray   = 1.25 * mostStray // with which each third judgement is tried all the same
	lineHalfHz = 25.0             // of a line to its edges: the keying of Morse of 60 words a minute
	// What comes with a rise of all that is around it is believed with more characters, and a surer judge.
	risenChars, risenSure = 10, 0.85
)

// tryKeyed has a line judged by the judges of all modes whose marks and gaps have lengths such as its own.
func (s *lineSearch) tryKeyed(l *line, age float64, last bool) (found, waits bool) {
	k := &s.keying
	marks, gaps, ok := k.lengths()
	if k.turns <= keyedTurns || k.off <= keyedOff || len(marks) < leastMarks && !last {
		return false, false
	}
	var best *mode.Mode
	var is mode.Verdict
	for _, m := range s.modes {
		if m.Shape.Line == nil {
			continue
		}
		stray, guess := 0.0, mode.Settings(nil)
		if ok {
			stray, guess = m.Shape.Line.Fit(marks, gaps)
		}
		if stray >= mostStray && !(stray < farStray && l.trial.tries%freeTurn == 0) {
			continue
		}
		clear := clearMarks / k.turns // seconds
		if !s.admits(l, keyedChanceOf(stray, k.turns*min(age+1, clear)), last) {
			waits = true
			continue
		}
		if l.trial.tries%freeTurn == 0 {
			guess = nil // in case the lengths deceive
		}
		v, ok := s.judgeKeyed(m, l, guess, s.stretchOf(l, age, clear), last)
		if !ok {
			s.judging.missed(l.hz)
		} else if v.Confidence > is.Confidence {
			best, is = m, v
		}
	}
	if best == nil {
		return false, waits
	}
	t := s.newTrack(l, Kind(best.Name), best, l.hz-lineHalfHz, l.hz+lineHalfHz)
	t.Hz = l.hz + is.Hz - best.Shape.CutHz
	t.Settings, t.SNR, t.Confidence = is.Settings, is.SNR, is.Confidence
	s.tracker.open(t, s.gauge.lastThere(t))
	return true, false
}

// keyedChanceOf is the chance of a line whose lengths stray from those of a mode, and of which so many marks are judged.
func keyedChanceOf(stray, marks float64) float64 {
	chance := keyedChance
	if stray > keyedStrays {
		chance = strayChance
	}
	return chance * min(max((marks-fewMarks)/(clearMarks-fewMarks), fewShare), 1)
}

// judgeKeyed says whether a line is of a mode, as far as its judge knows.
func (s *lineSearch) judgeKeyed(m *mode.Mode, l *line, guess mode.Settings, length int64, last bool) (v mode.Verdict, ok bool) {
	if length == 0 {
		return v, false
	}
	v = s.judging.judge(m, length, s.lineCut(l, lineMarginHz), guess)
	if !believed(v, m, last) {
		return v, false
	}
	// What comes with a rise of all that is around it may be the rhythm of syllables.
	risen := l.floor > areaRise*float64(s.spectrum.noise[s.frames.bin(l.hz)])
	return v, !risen || v.Characters >= risenChars && v.Sure >= risenSure
}
