package survey

import (
	"math"

	"ionoscribe/internal/mode"
)

const (
	// dipShare is the line that dips make in the power of a carrier whose phase is keyed, over the mean, at least: reversals alone
	// have 0.5, text a third of it. Noise in 8 s has 0.06.
	dipShare = 0.1
	// dipRise is by how much it stands out of what is beside it: the power of what is keyed at random has no lines.
	dipRise = 2.5
	// phaseSeconds tell phase telegraphy: some of its reversals, and some characters.
	phaseSeconds = 6.0
	// phaseMarginHz is what a cut has on each side of a line, which may be half the baud off the carrier.
	phaseMarginHz = 60.0
	phaseChance   = 0.6 // that what dips in time is what it seems
	// phaseSkirt is what is beside it, within phaseSkirtHz of its edges: a raised cosine has sidelobes of -31 dB.
	phaseSkirt, phaseSkirtHz = 0.003, 100.0
)

// dips says that the power of a line, an envelope, dips in the time of a rate in baud.
func dips(e []float32, baud float64) bool {
	mean := 0.0
	for _, v := range e {
		mean += float64(v)
	}
	mean /= float64(len(e)) + 1e-30
	line := func(hz float64) float64 {
		var re, im float64
		turn := 2 * math.Pi * hz * cellSeconds
		for i, v := range e {
			w := 0.5 - 0.5*math.Cos(2*math.Pi*(float64(i)+0.5)/float64(len(e)))
			sin, cos := math.Sincos(turn * float64(i))
			re += w * (float64(v) - mean) * cos
			im += w * (float64(v) - mean) * sin
		}
		return 2 * math.Hypot(re, im) / (mean*float64(len(e)) + 1e-30)
	}
	beside := 0.0
	for _, part := range []float64{0.78, 0.86, 1.14, 1.22} {
		v := line(part * baud)
		beside += v * v / 4
	}
	return line(baud) > max(dipShare, dipRise*math.Sqrt(beside))
}

// tryPhase has a line whose power dips in time judged by the judges of all modes that key phases; its envelope is in env[0].
func (s *Survey) tryPhase(l *line, age float64, last bool) (found, waits bool) {
	var best *mode.Mode
	var is mode.Verdict
	for _, m := range s.config.Modes {
		if m.Shape.Phase == nil || !dips(s.env[0], m.Shape.Phase.Baud) {
			continue
		}
		if age < phaseSeconds && !last {
			return false, true
		}
		if l.chance = phaseChance; !s.budget.admits(s.chance(l.hz, phaseChance), last) {
			return false, true
		}
		to := s.frames.end()
		from := to - s.stretchOf(l, age, firstStretch)
		if from == to {
			continue
		}
		v := s.judge(m, from, to, s.free(l.hz-phaseMarginHz, l.hz), s.free(l.hz+phaseMarginHz, l.hz), l.hz, l.floor, nil)
		if !v.Is || v.Characters < leastChars && !last || v.Sure < m.Shape.LeastSure {
			s.missed(l.hz)
		} else if v.Confidence > is.Confidence {
			best, is = m, v
		}
	}
	if best == nil {
		return false, false
	}
	hz := l.hz + is.Hz - best.Shape.CutHz
	half := best.Shape.Phase.Baud / 2
	t := s.newTrack(l, Kind(best.Name), best, hz-half-4, hz+half+4)
	t.Hz, t.Settings, t.SNR, t.Confidence = hz, is.Settings, is.SNR, is.Confidence
	t.spots = []spot{{s.frames.bin(hz - half), s.frames.bin(hz + half)}}
	s.open(t, s.lastThere(t))
	return true, false
}
