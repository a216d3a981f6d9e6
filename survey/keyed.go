package survey

import "ionoscribe/internal/mode"

// lineMarginHz is what a cut has on each side of a line.
const lineMarginHz = 90.0

// tryKeyed has a line judged by the judges of all modes whose marks and gaps have lengths such as its own.
func (s *Survey) tryKeyed(l *line, k keying, age float64, last bool) (found, waits bool) {
	if k.turns <= leastTurns || k.off <= keyedOff || k.marks < leastMarks && !last {
		return false, false
	}
	var best *mode.Mode
	var is mode.Verdict
	for _, m := range s.config.Modes {
		if m.Shape.Line == nil {
			continue
		}
		stray, guess := s.fit(m, k)
		if stray >= mostStray && !(stray < 1.25*mostStray && l.tries%3 == 0) {
			continue
		}
		chance := keyedChance
		if stray > keyedStrays {
			chance = strayChance
		}
		clear := clearMarks / k.turns // seconds
		marks := k.turns * min(age+1, clear)
		chance *= min(max((marks-fewMarks)/(clearMarks-fewMarks), fewShare), 1)
		if l.chance = chance; !s.budget.admits(s.chance(l.hz, chance), last) {
			waits = true
			continue
		}
		if l.tries%3 == 0 {
			guess = nil // in case the lengths deceive
		}
		v, ok := s.judgeKeyed(m, l, guess, s.stretchOf(l, age, clear), last)
		if !ok {
			s.missed(l.hz)
		} else if v.Confidence > is.Confidence {
			best, is = m, v
		}
	}
	if best == nil {
		return false, waits
	}
	t := s.newTrack(l, Kind(best.Name), best, l.hz-25, l.hz+25)
	t.Hz = l.hz + is.Hz - best.Shape.CutHz
	t.Settings, t.SNR, t.Confidence = is.Settings, is.SNR, is.Confidence
	s.open(t, s.lastThere(t))
	return true, false
}

// fit is by how much marks and gaps stray from those of a mode, as far as there are any.
func (s *Survey) fit(m *mode.Mode, k keying) (stray float64, best mode.Settings) {
	if len(s.marks) <= 2 || len(s.gaps) <= 2 {
		return 0, nil
	}
	return m.Shape.Line.Fit(s.marks[1:], s.gaps[1:]) // the first ones may be parts
}

// judgeKeyed says whether a line is of a mode, as far as its judge knows.
func (s *Survey) judgeKeyed(m *mode.Mode, l *line, guess mode.Settings, length int64, last bool) (v mode.Verdict, ok bool) {
	to := s.frames.end()
	from := to - length
	if to == from {
		return v, false
	}
	v = s.judge(m, from, to, s.free(l.hz-lineMarginHz, l.hz), s.free(l.hz+lineMarginHz, l.hz), l.hz, l.floor, guess)
	if !v.Is || v.Characters < leastChars && !last || v.Sure < m.Shape.LeastSure {
		return v, false
	}
	// What comes with a rise of all that is around it may be the rhythm of syllables.
	if l.floor > areaRise*float64(s.spectrum.noise[s.frames.bin(l.hz)]) && (v.Characters < 10 || v.Sure < 0.85) {
		return v, false
	}
	return v, true
}
