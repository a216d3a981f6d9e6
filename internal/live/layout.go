package live

import "ionoscribe/internal/station"

// tuning is what the frequencies of a receiver are counted by.
type tuning struct {
	rate   float64
	iq     bool
	dialHz float64 // 0: not known, or the middle of the band
	lower  bool    // the audio is the lower sideband
}

func tuningOf(in *station.Input) tuning {
	return tuning{rate: in.SampleRate, iq: in.IQ, dialHz: in.DialHz, lower: in.Lower}
}

func tuningNow(s *station.Status) tuning {
	return tuning{rate: s.Rate, iq: s.IQ, dialHz: s.DialHz, lower: s.Lower}
}

// layout is how the bins of a receiver's spectrum lie.
type layout struct {
	length int     // of a transform
	bins   int     // of a row
	lowHz  float64 // the lower edge of the first bin, on the air if that is known
	highHz float64 // the upper edge of the last one
	turned bool    // frequencies on the air fall as those of the audio rise
}

const (
	mostBins = 1024
	finestHz = 4.0    // a bin need not be finer: no tone is narrower
	audioTop = 4000.0 // Hz; the audio of receivers for short wave ends there
)

// layoutOf is empty for a receiver that has not been connected.
func layoutOf(t tuning) layout {
	if t.rate == 0 {
		return layout{}
	}
	span := t.rate
	if !t.iq {
		span = min(audioTop, t.rate/2)
	}
	l := layout{length: 2}
	for t.rate/float64(l.length) > finestHz && span/t.rate*float64(2*l.length) <= mostBins {
		l.length *= 2
	}
	binHz := t.rate / float64(l.length)
	l.bins = int(span / binHz)
	first, last := 0.0, float64(l.bins-1)*binHz // the middles of bins
	switch {
	case t.iq:
		first, last = first-t.rate/2, last-t.rate/2
	case t.lower && t.dialHz != 0:
		l.turned = true
		first, last = -last, first
	}
	l.lowHz, l.highHz = t.dialHz+first-binHz/2, t.dialHz+last+binHz/2
	return l
}
