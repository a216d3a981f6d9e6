package survey

import (
	"math"

	"ionoscribe/demod"
)

// gauge tells how strong tracks are, and whether they are there.
type gauge struct {
	frames *frames
	ring   *ring
	tracks *tracks
	sorted []float32 // work space
}

const (
	windowFrames = 8 // 0.7 s, in which a signal is there or not
	stepFrames   = 2 // between windows: they overlap
	// What is narrow is compared with the quiet bins of besideBins on each side, but for marginBins beside it (a Hann window spreads
	// a tone over two); what fills an area, with those of wideBesideHz beyond wideMarginHz, where its sidebands are few.
	besideBins, marginBins     = 40, 4
	wideBesideHz, wideMarginHz = 350.0, 130.0
	// Of means of a window's densities, the quiet quantile is quietBias of the mean, and the median medianBias: so of gamma
	// distributions of about four independent values.
	quietBias, medianBias = 0.85, 0.95
)

// strength is the mean density in the strongest of the spots in frames from to to, and that of the noise.
func (g *gauge) strength(t *track, from, to int64) (level, noise float64) {
	from, to = max(from, g.frames.first()), min(to, g.frames.count)
	if from >= to {
		return 0, 1
	}
	if t.broad {
		return g.median(t.spots[0], from, to), t.noise
	}
	sum, n := 0.0, 0
	for _, p := range t.spots {
		if t.area() == nil { // which is in one or the other; what fills an area is in all of them
			sum, n = 0, 0
		}
		comb := t.area() == nil && g.tracks.combs(p, from, to)
		for k := from; k < to; k++ {
			for i, v := range g.frames.of(k)[p.low : p.high+1] {
				if comb && g.tracks.comb(p.low+i, k) {
					continue
				}
				sum += float64(v)
				n++
			}
		}
		level = max(level, sum/float64(max(n, 1)))
	}
	return level, max(t.noise, g.around(t, from, to)) + tiny
}

// median is that of the densities of an area, which other signals in it do not move.
func (g *gauge) median(p spot, from, to int64) float64 {
	x := g.sorted[:0]
	for i := p.low; i <= p.high; i++ {
		x = append(x, g.frames.sum(i, from, to))
	}
	g.sorted = x
	return float64(demod.Quantile(x, len(x)/2)) / float64(to-from)
}

// around is the noise beside a track in some frames: the quiet bins of those within some tens.
func (g *gauge) around(t *track, from, to int64) float64 {
	reach, margin := besideBins, marginBins
	if t.wide() {
		reach, margin = int(wideBesideHz/g.frames.binHz), int(wideMarginHz/g.frames.binHz)
	}
	low, high := t.spots[0].low, t.spots[len(t.spots)-1].high
	x := g.sorted[:0]
	add := func(a, b int) {
		for i := max(a, 0); i <= min(b, g.frames.bins-1); i++ {
			sum := g.frames.sum(i, from, to)
			if t.area() == nil || !g.tracks.explained(t, i, float64(sum)/float64(to-from)) {
				x = append(x, sum)
			}
		}
	}
	add(low-margin-reach, low-margin)
	add(high+margin, high+margin+reach)
	g.sorted = x
	if len(x) < reach/2 {
		return 0 // too few to tell
	}
	return float64(demod.Quantile(x, int(quietShare*float64(len(x))))) / float64(to-from) / quietBias
}

// below is the middle density of the bins below a fax, where speech has more power than above, without what other tracks
// explain.
func (g *gauge) below(t *track, from, to int64) float64 {
	from = max(from, g.frames.first())
	frames := float64(max(to-from, 1))
	high := t.spots[0].low - int(wideMarginHz/g.frames.binHz)
	low := max(high-int(wideBesideHz/g.frames.binHz), 0)
	x := g.sorted[:0]
	for i := low; i < high; i++ {
		if sum := g.frames.sum(i, from, to); !g.tracks.explained(t, i, float64(sum)/frames) {
			x = append(x, sum)
		}
	}
	g.sorted = x
	if len(x) <= max(high-low, 0)/3 {
		return 0 // too few to tell
	}
	return float64(demod.Quantile(x, len(x)/2)) / frames / medianBias
}

const (
	// Where the noise is so much more than usual, there may be speech, whose short syllables leave few independent values in a
	// window: so much more is needed for a signal to be there.
	disturbed, disturbedRise = 2.5, 4.5
	// thereShare of its usual strength is a deep fade, or what another signal leaves there.
	thereShare = 0.015
)

// present says whether a track is heard in the window that ends before a frame.
func (g *gauge) present(t *track, end int64) bool {
	level, noise := g.strength(t, end-windowFrames, end)
	rise := t.rise()
	if noise > disturbed*t.noise && !t.wide() {
		rise = disturbedRise
	}
	raised := noise
	if t.area() != nil {
		raised = g.below(t, end-windowFrames, end)
		if t.control.tone != 0 && t.sum.frames > t.control.frames && g.foreign(t, end-windowFrames, end) {
			return false
		}
	}
	if raised > disturbed*t.noise && t.shape.Even && !g.even(t, end) {
		return false
	}
	return level > max(rise*noise, thereShare*t.usual)
}

const (
	// evenShare of the mean power is in the second weakest of evenFrames, 1 s: of syllables hardly ever, of a fax that fades
	// often enough.
	evenFrames = 12
	evenShare  = 0.35
	// evenNoise of the noise is taken off: some more than all, as it strays.
	evenNoise = 1.3
)

// even says that a track has the even power of frequency modulation in the window that ends before a frame: speech in its
// place has gaps between syllables.
func (g *gauge) even(t *track, end int64) bool {
	from := max(end-evenFrames, g.frames.first())
	sum, low, lower := 0.0, math.Inf(1), math.Inf(1)
	for k := from; k < end; k++ {
		v := 0.0
		for _, p := range t.spots {
			for _, x := range g.frames.of(k)[p.low : p.high+1] {
				v += float64(x) - evenNoise*t.noise
			}
		}
		sum += v
		if v < lower {
			low, lower = lower, v
		} else if v < low {
			low = v
		}
	}
	return low > evenShare*sum/float64(max(1, end-from))
}

const (
	foreignShare  = 0.7  // of the power that is in one line of five bins
	foreignOffHz  = 25.0 // that it is off where a fax would have it: six bins
	foreignReachN = 2    // bins on each side of its top
)

// foreign says that what is heard in the place of an announced fax is one steady frequency, and neither black nor white nor the
// middle, where a control tone of 675 Hz has most of its power.
func (g *gauge) foreign(t *track, from, to int64) bool {
	from = max(from, g.frames.first())
	low, high := t.spots[0].low, t.spots[0].high
	all, best, at := 0.0, 0.0, low
	x := g.sorted[:0]
	for i := low; i <= high; i++ {
		sum := 0.0
		for k := from; k < to; k++ {
			sum += float64(g.frames.of(k)[i]) - t.noise
		}
		x = append(x, float32(sum))
		all += sum
		if sum > best {
			best, at = sum, i
		}
	}
	g.sorted = x
	top := 0.0
	for i := max(at-foreignReachN, low); i <= min(at+foreignReachN, high); i++ {
		top += float64(x[i-low])
	}
	off := math.Abs(g.frames.hz(float64(at)) - t.Hz)
	return top > foreignShare*all && math.Abs(off-t.area().DeviationHz) > foreignOffHz && off > foreignOffHz
}

// lastThere is a frame at which a track is there, the present if it is not.
func (g *gauge) lastThere(t *track) int64 {
	now := g.frames.count
	for k := now; k > now-int64(meanSeconds/g.frames.hopS); k -= stepFrames {
		if g.present(t, k) {
			return k
		}
	}
	return now
}

// steady says that a track has been there for most of some seconds, and is there now.
func (g *gauge) steady(t *track, seconds float64) bool {
	const steadyShare = 0.75 // fading takes some of it
	now := g.frames.count
	n, there := 0, 0
	for k := now; k > now-int64(seconds/g.frames.hopS); k -= windowFrames {
		n++
		if g.present(t, k) {
			there++
		}
	}
	return g.present(t, now) && float64(there) > steadyShare*float64(n)
}

const (
	// edgeShare of a signal's power is in a frame of which it fills the last 0.37: a quarter of the amplitude (the integral of the
	// Hann window). It must also be edgeRise over the noise; the mean of what is wide strays less.
	edgeShare              = 0.06
	edgeRise, wideEdgeRise = 3.0, 1.3
)

// edge is the density from which on a single frame belongs to a track of some level.
func (t *track) edge(level, noise float64) float64 {
	if t.wide() {
		return max(wideEdgeRise*noise, edgeShare*level)
	}
	return max(edgeRise*noise, edgeShare*level)
}

// end is the sample at which a track was heard last.
func (g *gauge) end(t *track) int64 {
	least := t.edge(g.strength(t, t.heard-3*windowFrames, t.heard))
	at := t.heard - 1
	for ; at > t.heard-windowFrames; at-- {
		if v, _ := g.strength(t, at, at+1); v > least {
			break
		}
	}
	return min(g.frames.sample(at), g.ring.end)
}
