package survey

import (
	"math"
	"slices"

	"ionoscribe/demod"
	"ionoscribe/internal/mode"
)

const (
	// dipShare is the line that dips make in the power of a carrier whose phase is keyed, over the mean, at least: reversals alone
	// have 0.5, text a third of it, and beside stronger signals 0.06.
	dipShare = 0.04
	// dipRise is by how much it stands out of the median of what is beside it, where there may be beats of other signals: the power of
	// what is keyed at random has no lines, and noise (Rayleigh) seldom one so strong.
	dipRise = 3.5
	// Beside the line there are others to compare it with: besideLines on each side, the first besideFirst of the rate away and
	// besideStep apart, which is more than the width of a line of some seconds.
	besideLines             = 4
	besideFirst, besideStep = 0.08, 0.05
	// phaseSeconds tell phase telegraphy: some of its reversals, and some characters.
	phaseSeconds = 6.0
	// phaseMarginHz is what a cut has on each side of a line, which may be half the baud off the carrier.
	phaseMarginHz = 60.0
	phaseEdgeHz   = 4.0 // of the edges beyond half the baud: what a raised cosine has there is 20 dB down
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
	mean /= float64(len(e)) + tiny
	line := func(hz float64) float64 {
		var re, im float64
		turn := 2 * math.Pi * hz * cellSeconds
		for i, v := range e {
			w := demod.Hann(i, len(e))
			sin, cos := math.Sincos(turn * float64(i))
			re += w * (float64(v) - mean) * cos
			im += w * (float64(v) - mean) * sin
		}
		return 2 * math.Hypot(re, im) / (mean*float64(len(e)) + tiny)
	}
	var beside [2 * besideLines]float64
	for k := range besideLines {
		off := besideFirst + besideStep*float64(k)
		beside[2*k], beside[2*k+1] = line((1-off)*baud), line((1+off)*baud)
	}
	slices.Sort(beside[:])
	return line(baud) > max(dipShare, dipRise*beside[besideLines-1])
}

// tryPhase has a line whose power dips in time judged by the judges of all modes that key phases; its envelope is in env[0].
func (s *lineSearch) tryPhase(l *line, age float64, last bool) (found, waits bool) {
	var best *mode.Mode
	var is mode.Verdict
	for _, m := range s.modes {
		if m.Shape.Phase == nil || !dips(s.env[0], m.Shape.Phase.Baud) {
			continue
		}
		if age < phaseSeconds && !last || !s.admits(l, phaseChance, last) {
			return false, true
		}
		length := s.stretchOf(l, age, firstStretch)
		if length == 0 {
			continue
		}
		v := s.judging.judge(m, length, s.lineCut(l, phaseMarginHz), nil)
		if !believed(v, m, last) {
			s.judging.missed(l.hz)
		} else if v.Confidence > is.Confidence {
			best, is = m, v
		}
	}
	if best == nil {
		return false, false
	}
	hz := l.hz + is.Hz - best.Shape.CutHz
	half := best.Shape.Phase.Baud / 2
	t := s.newTrack(l, Kind(best.Name), best, hz-half-phaseEdgeHz, hz+half+phaseEdgeHz)
	t.Hz, t.Settings, t.SNR, t.Confidence = hz, is.Settings, is.SNR, is.Confidence
	t.spots = []spot{{s.frames.bin(hz - half), s.frames.bin(hz + half)}}
	s.tracker.open(t, s.gauge.lastThere(t))
	return true, false
}
