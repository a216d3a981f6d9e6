package survey

import "ionoscribe/internal/mode"

// judge has a cut of what is between two frequencies judged, whose middle is at hz and in noise of a density.
func (s *Survey) judge(m *mode.Mode, from, to int64, low, high, hz, noise float64, guess mode.Settings) mode.Verdict {
	audio, rate := s.cutter.cut(from, to, low, high, hz, m.Shape.CutHz, noise)
	v := s.judges[m].Judge(audio, rate, guess)
	s.work += v.Work
	return v
}
