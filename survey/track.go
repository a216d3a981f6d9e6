package survey

import (
	"math"
	"slices"

	"ionoscribe/internal/mode"
)

// track is a finding that is followed.
type track struct {
	Finding
	mode       *mode.Mode // nil: it is of none
	shape      *mode.Shape
	spots      []spot
	noise      float64 // density around it when it was found
	level      float64 // density at the top of its mean spectrum
	usual      float64 // strength while it is there, in the mean of some seconds
	heard      int64   // frame
	next       int64   // frame of the next judgement
	judged     int
	lowBin     int       // of total
	total      []float64 // densities while it was there, summed
	counted    float64   // frames in it
	tone       float64   // that announced it, Hz
	toneFrames float64   // for which its lines may be seen
	broad      bool      // an area, in which other things may be
	announced  int64     // frame in which its control tone was known; 0: there was none
	gone       bool      // it has ended, whatever is heard in its place
}

// spot is a range of bins in which a signal is.
type spot struct{ low, high int }

const (
	windowFrames = 8 // 0.7 s, in which a signal is there or not
	// thereRise is the density over the noise with which it is there: of some 11 independent values, as a spot of three bins
	// and a window have, the mean surpasses it once in 20000 times.
	thereRise   = 2.6
	wideRise    = 1.5  // of a spot of a hundred bins
	edgeShare   = 0.06 // of its level that a frame at its edge has
	backSeconds = 2.5  // of silence before a signal are no part of it
	// thereShare of its usual strength is a deep fade, or what another signal leaves there.
	thereShare = 0.015
)

// Shapes of what is of no mode.
var (
	carrierShape = &mode.Shape{GapSeconds: 10, Even: true, MarginHz: 25}
	otherShape   = &mode.Shape{GapSeconds: 5, MarginHz: 25}
)

// shapeOf is that of a mode, or of what is of none.
func shapeOf(k Kind, m *mode.Mode) *mode.Shape {
	switch {
	case m != nil:
		return &m.Shape
	case k == Carrier:
		return carrierShape
	}
	return otherShape
}

// area says how a track fills a range of frequencies by frequency modulation; nil: it does not.
func (t *track) area() *mode.Area { return t.shape.Area }

func (t *track) wide() bool { return t.broad || t.area() != nil }

func (t *track) rise() float64 {
	if t.wide() {
		return wideRise
	}
	return thereRise
}

// strength is the mean density in the strongest of the spots in frames from to to, and that of the noise.
func (s *Survey) strength(t *track, from, to int64) (level, noise float64) {
	from, to = max(from, s.frames.first()), min(to, s.frames.count)
	if from >= to {
		return 0, 1
	}
	if t.broad {
		return s.median(t, from, to), t.noise
	}
	sum, n := 0.0, 0
	for _, p := range t.spots {
		if t.area() == nil { // which is in one or the other; what fills an area is in all of them
			sum, n = 0, 0
		}
		comb := t.area() == nil && s.combs(p, from, to)
		for k := from; k < to; k++ {
			for i, v := range s.frames.of(k)[p.low : p.high+1] {
				if comb && s.comb(p.low+i, k) {
					continue
				}
				sum += float64(v)
				n++
			}
		}
		level = max(level, sum/float64(max(n, 1)))
	}
	return level, max(t.noise, s.around(t, from, to)) + 1e-35
}

// median is that of the densities of an area, which other signals in it do not move.
func (s *Survey) median(t *track, from, to int64) float64 {
	low, high := t.spots[0].low, t.spots[0].high
	x := s.sorted[:0]
	for i := low; i <= high; i++ {
		sum := float32(0)
		for k := from; k < to; k++ {
			sum += s.frames.of(k)[i]
		}
		x = append(x, sum)
	}
	s.sorted = x
	return float64(quantile(x, len(x)/2)) / float64(to-from)
}

// around is the noise beside a track in some frames: the quiet bins of those within some tens.
func (s *Survey) around(t *track, from, to int64) float64 {
	reach, margin := 40, 4
	if t.wide() {
		reach, margin = int(350/s.frames.binHz), int(130/s.frames.binHz)
	}
	low, high := t.spots[0].low, t.spots[len(t.spots)-1].high
	x := s.sorted[:0]
	add := func(a, b int) {
		for i := max(a, 0); i <= min(b, s.frames.bins-1); i++ {
			sum := float32(0)
			for k := from; k < to; k++ {
				sum += s.frames.of(k)[i]
			}
			if t.area() == nil || !s.explained(t, i, float64(sum)/float64(to-from)) {
				x = append(x, sum)
			}
		}
	}
	add(low-margin-reach, low-margin)
	add(high+margin, high+margin+reach)
	s.sorted = x
	if len(x) < reach/2 {
		return 0
	}
	return float64(quantile(x, int(quietShare*float64(len(x))))) / float64(to-from) / 0.85
}

// present says whether a track is heard in the window that ends before a frame.
func (s *Survey) present(t *track, end int64) bool {
	level, noise := s.strength(t, end-windowFrames, end)
	rise := t.rise()
	if noise > disturbed*t.noise && !t.wide() {
		rise = disturbedRise
	}
	raised := noise
	if t.area() != nil {
		raised = s.below(t, end-windowFrames, end)
		if t.tone != 0 && t.counted > t.toneFrames && s.foreign(t, end-windowFrames, end) {
			return false
		}
	}
	if raised > disturbed*t.noise && t.shape.Even && !s.even(t, end) {
		return false
	}
	return level > max(rise*noise, thereShare*t.usual)
}

// Where the noise is so much more than usual, there may be speech, whose short syllables leave few independent values in
// a window.
const (
	disturbed     = 2.5
	disturbedRise = 4.5
)

// even says that a track has the even power of frequency modulation in the window that ends before a frame: speech in its
// place has gaps between syllables.
func (s *Survey) even(t *track, end int64) bool {
	from := max(end-evenFrames, s.frames.first())
	sum, low, lower := 0.0, math.Inf(1), math.Inf(1)
	for k := from; k < end; k++ {
		v := 0.0
		for _, p := range t.spots {
			for _, x := range s.frames.of(k)[p.low : p.high+1] {
				v += float64(x) - 1.3*t.noise
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

// evenShare of the mean power is in the second weakest of evenFrames, 1 s: of syllables hardly ever, of a fax that fades
// often enough.
const (
	evenFrames = 12
	evenShare  = 0.35
)

// foreign says that what is heard in the place of an announced fax is one steady frequency, and neither black nor white nor the
// middle, where a control tone of 675 Hz has most of its power.
func (s *Survey) foreign(t *track, from, to int64) bool {
	from = max(from, s.frames.first())
	low, high := t.spots[0].low, t.spots[0].high
	all, best, at := 0.0, 0.0, low
	x := s.sorted[:0]
	for i := low; i <= high; i++ {
		sum := 0.0
		for k := from; k < to; k++ {
			sum += float64(s.frames.of(k)[i]) - t.noise
		}
		x = append(x, float32(sum))
		all += sum
		if sum > best {
			best, at = sum, i
		}
	}
	s.sorted = x
	top := 0.0
	for i := max(at-2, low); i <= min(at+2, high); i++ {
		top += float64(x[i-low])
	}
	hz := s.frames.hz(float64(at)) - t.Hz
	return top > 0.7*all && math.Abs(math.Abs(hz)-t.area().DeviationHz) > 25 && math.Abs(hz) > 25
}

// explained says that a density in a bin may be that of a track other than t.
func (s *Survey) explained(t *track, bin int, density float64) bool {
	p := peak{hz: s.frames.hz(float64(bin)), density: density}
	return slices.ContainsFunc(s.tracks, func(o *track) bool { return o.Kind != Other && o != t && o.covers(p) })
}

// below is the middle density of the bins below a fax, where speech has more power than above, without what other tracks
// explain.
func (s *Survey) below(t *track, from, to int64) float64 {
	from = max(from, s.frames.first())
	high := t.spots[0].low - int(130/s.frames.binHz)
	x := s.sorted[:0]
	low := max(high-int(350/s.frames.binHz), 0)
	for i := low; i < high; i++ {
		sum := float32(0)
		for k := from; k < to; k++ {
			sum += s.frames.of(k)[i]
		}
		if !s.explained(t, i, float64(sum)/float64(max(to-from, 1))) {
			x = append(x, sum)
		}
	}
	s.sorted = x
	if len(x) <= max(high-low, 0)/3 {
		return 0 // too few to tell
	}
	return float64(quantile(x, len(x)/2)) / float64(max(to-from, 1)) / 0.95
}

// follow brings a track up to the present; false: it has ended.
func (s *Survey) follow(t *track) bool {
	f := s.frames
	if t.gone {
		return false
	}
	if s.present(t, f.count) {
		level, _ := s.strength(t, f.count-windowFrames, f.count)
		t.usual += 0.05 * (level - t.usual)
		s.count(t, max(t.heard, f.count-lookFrames), f.count)
		t.heard = f.count
		t.End = s.end(t)
	}
	return float64(f.count-t.heard)*f.hopS < t.shape.GapSeconds
}

// count sums densities and power of some frames.
func (s *Survey) count(t *track, from, to int64) {
	for k := from; k < to; k++ {
		for i := range t.total {
			t.total[i] += float64(s.frames.of(k)[t.lowBin+i])
		}
		t.counted++
	}
}

// begin looks for the beginning of a track in the past, from a frame in which it is there.
func (s *Survey) begin(t *track, from int64) {
	f := s.frames
	first := f.first()
	for _, e := range s.endings {
		if e.high > t.LowHz && e.low < t.HighHz {
			first = max(first, e.frame)
		}
	}
	t.usual, _ = s.strength(t, from-4*windowFrames, from)
	const step = 2
	backFrames := int64(backSeconds / f.hopS)
	earliest := from
	others := s.inBand(t)
	if len(others) > 0 {
		earliest = s.beginAmong(t, others, first, from)
	}
	for k := from; len(others) == 0 && k-windowFrames >= first && earliest-k < backFrames; k -= step {
		if s.present(t, k) {
			earliest = k
		}
	}
	level, noise := s.strength(t, earliest-windowFrames/2, min(earliest+2*windowFrames, f.count))
	t.level = level
	least := max(3*noise, edgeShare*level)
	if t.wide() {
		least = max(1.3*noise, edgeShare*level)
	}
	at := max(earliest-windowFrames, first)
	for ; at < earliest+windowFrames; at++ {
		if v, _ := s.strength(t, at, at+1); v > least {
			break
		}
	}
	t.Begin = max(f.sample(at), f.base)
	if at == 0 {
		t.Begin = f.base
	}
	t.heard = from
	t.total = make([]float64, 0)
	low, high := f.bin(t.LowHz-30), f.bin(t.HighHz+30)
	t.lowBin, t.total = low, make([]float64, high-low+1)
	s.count(t, at, f.count)
	t.heard = f.count
	t.End = s.end(t)
}

// end is the sample at which a track was heard last.
func (s *Survey) end(t *track) int64 {
	f := s.frames
	level, noise := s.strength(t, t.heard-3*windowFrames, t.heard)
	least := max(3*noise, edgeShare*level)
	if t.wide() {
		least = max(1.3*noise, edgeShare*level)
	}
	at := t.heard - 1
	for ; at > t.heard-windowFrames; at-- {
		if v, _ := s.strength(t, at, at+1); v > least {
			break
		}
	}
	return min(f.sample(at), s.ring.end)
}

// covers says whether a frequency belongs to a track, and a density may be its sideband.
func (t *track) covers(p peak) bool {
	if t.broad {
		return false
	}
	margin, rate := t.shape.MarginHz, 1.0
	if p := t.shape.Pair; p != nil {
		_, baud := p.Tones(t.Settings)
		rate = max(baud/50, 1)
	}
	if p.hz > t.LowHz-margin && p.hz < t.HighHz+margin {
		return true
	}
	if t.tone != 0 && t.counted < t.toneFrames { // the lines of a control tone reach far
		if k := math.Round((p.hz - t.Hz) / t.tone); math.Abs(p.hz-t.Hz-k*t.tone) < toneNearHz && math.Abs(k) < 8 {
			return true
		}
	}
	d := max(t.LowHz-p.hz, p.hz-t.HighHz)
	if t.shape.Phase != nil {
		return d < phaseSkirtHz && p.density < phaseSkirt*t.level
	}
	return d < skirtHz*rate && p.density < t.level*skirtLevel(d/rate)
}

// peakIn is the top of the mean spectrum of a track near a frequency.
func (t *track) peakIn(f *frames, hz, reach float64) float64 {
	best := 0
	for i := range t.total {
		if math.Abs(f.hz(float64(t.lowBin+i))-hz) <= reach && (t.total[i] > t.total[best] || best == 0) {
			best = i
		}
	}
	if best < 1 || best > len(t.total)-2 {
		return hz
	}
	v := t.total
	return f.hz(float64(t.lowBin+best) + hannVertex(v[best-1], v[best], v[best+1]))
}

// hannVertex is where between the bins a steady tone is, by the ratio of the amplitudes in the two greatest ones, which
// with a Hann window is (1+d)/(2-d) at a distance d from the greater one (from the window's transform).
func hannVertex(a, b, c float64) float64 {
	side, sign := c, 1.0
	if a > c {
		side, sign = a, -1
	}
	r := math.Sqrt(side / (b + 1e-35))
	return sign * min(max((2*r-1)/(r+1), -0.5), 0.5)
}

// centroid is the mean frequency of what is over the noise within reach of a frequency.
func (t *track) centroid(f *frames, hz, reach float64) float64 {
	sum, weight := 0.0, 0.0
	for i, v := range t.total {
		h := f.hz(float64(t.lowBin + i))
		if d := math.Abs(h - hz); d <= reach {
			p := max(v-t.noise*t.counted, 0)
			sum += p * (h - hz)
			weight += p
		}
	}
	if weight == 0 {
		return hz
	}
	return hz + sum/weight
}

// snr is the power between two frequencies over the noise in 2500 Hz, in dB.
func (t *track) snr(f *frames, low, high float64) float64 {
	sum := 0.0
	for i, v := range t.total {
		if h := f.hz(float64(t.lowBin + i)); h >= low && h <= high {
			sum += v - t.noise*t.counted
		}
	}
	mean := sum / max(t.counted, 1) * f.binHz
	return min(max(10*math.Log10((max(mean, 0)+1e-35)/(t.noise*2500+1e-35)), -60), 120)
}
