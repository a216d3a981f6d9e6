package cw

import "math"

// length is a class of lengths.
type length int

const (
	dotLength length = iota
	dashLength
	gapLength
	characterLength
	wordLength
	lengths
)

// sender is how somebody keys: of each class of lengths the mean in base samples, the standard deviation over the mean,
// and how many of them have been heard.
type sender struct {
	mean, spread, heard [lengths]float64
	// misfit is the mean square of how many standard deviations the last marks and gaps within characters were off.
	misfit float64
}

var (
	nominalDots = [lengths]float64{1, DashDots, GapDots, CharacterGapDots, WordGapDots}

	// Spreads as standard deviations over the mean (own choice): a hand's of 11 % or so, a machine's with what noise and the
	// grid add, and the limits within which one is learnt.
	usualSpread   = [lengths]float64{0.11, 0.11, 0.14, 0.16, 0.18}
	machineSpread = [lengths]float64{0.05, 0.04, 0.06, 0.05, 0.06}
	leastSpread   = [lengths]float64{0.03, 0.02, 0.03, 0.02, 0.04}
	mostSpread    = [lengths]float64{0.25, 0.22, 0.35, 0.35, 0.4}
)

const (
	// Own choice, in lengths: a new sender is known after a few characters, and followed within forty of each.
	priorHeard  = 6.0  // what the nominal lengths count for, and half of what the usual spreads do
	memoryHeard = 40.0 // that the means reach back
	misfitGain  = 0.08 // of the last twelve lengths
	scaleShare  = 0.3  // of a change of one length that all the others follow, as a hand slows down in all

	mostSigmasHeard = 3 // standard deviations by which a length counts as off at most, as it may be an error
)

func newSender(dot float64) sender {
	var s sender
	for i := range s.mean {
		s.mean[i] = dot * nominalDots[i]
	}
	s.spread = usualSpread
	s.misfit = 1
	return s
}

// hear takes a length in base samples.
func (s *sender) hear(l length, x, weight float64) {
	off := x/s.mean[l] - 1
	limit := mostSigmasHeard * s.spread[l]
	if l == wordLength && off > limit {
		return // a pause
	}
	off = min(max(off, -limit), limit)
	if l <= gapLength {
		s.misfit += misfitGain * (off*off/(s.spread[l]*s.spread[l]) - s.misfit)
	}
	n := s.heard[l] + weight
	s.heard[l] = min(n, memoryHeard)
	gain := weight / (priorHeard + n)
	v := s.spread[l] * s.spread[l]
	v += weight / (2*priorHeard + n) * (off*off - v)
	s.spread[l] = s.within(l, math.Sqrt(v))
	for i := range s.mean {
		share := scaleShare
		if length(i) == l {
			share = 1
		}
		s.mean[i] *= 1 + share*gain*off
	}
}

// within bounds a spread by what senders may be like.
func (s *sender) within(l length, spread float64) float64 {
	return min(max(spread, leastSpread[l]), mostSpread[l])
}

// dot is the length of a dot for the speed, by the marks and the gaps within characters of PARIS.
func (s *sender) dot() float64 {
	const dots, dashes, gaps = 10, 4, 9
	return (dots*s.mean[dotLength] + dashes*s.mean[dashLength] + gaps*s.mean[gapLength]) / (dots + dashes*DashDots + gaps)
}

// weighting is the length of a dot in that of a dot and a gap.
func (s *sender) weighting() float64 {
	return s.mean[dotLength] / (s.mean[dotLength] + s.mean[gapLength])
}

// loose is the mean of how far the lengths of marks and gaps, but for those between words, stray over the most that is
// expected: 1 at most. Hands of 16 % jitter come to 0.8.
func (s *sender) loose() (sum float64) {
	for l := range wordLength {
		sum += s.spread[l] / mostSpread[l] / float64(wordLength)
	}
	return sum
}

// spans lists the lengths of a class, in steps of so many base samples, that are not too unlikely. hand is how much strays,
// from 0 to all of strays.
func (s *sender) spans(dst []span, l length, step, hand float64) []span {
	const (
		gridVariance = 0.1   // in steps, that the grid adds: 1/12, and a little more
		mostSigmas   = 3.6   // 3 in 10,000 are further off
		unlikely     = 1e-12 // keeps the logarithm finite
		shortest     = 2     // steps
		room         = 0.9   // of longestSteps for the mean, so that longer ones have a place
	)
	stray := strays[l].share * hand
	low, high := strays[l].low, strays[l].high
	mu := min(s.mean[l]/step, longestSteps*room)
	sigma := math.Sqrt(s.spread[l]*s.spread[l]*mu*mu + gridVariance)
	from, to := mu-mostSigmas*sigma, mu+mostSigmas*sigma
	if stray > 0 {
		from, to = min(from, low*mu), max(to, high*mu)
	}
	first := max(shortest, int64(math.Ceil(from)))
	for d := first; float64(d) <= to && d <= longestSteps; d++ {
		u := (float64(d) - mu) / sigma
		p := (1 - stray) * math.Exp(-u*u/2) / (sigma * math.Sqrt(2*math.Pi))
		if x := float64(d) / mu; x > low && x < high {
			p += stray / (high - low) / mu
		}
		dst = append(dst, span{d, float32(math.Log(p + unlikely))})
	}
	return dst
}
