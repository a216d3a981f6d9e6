package survey

import (
	"math"
	"slices"

	"ionoscribe/demod"
)

const (
	meanSeconds = 3.0
	// The floor is the quantile of the bins within floorHz; of means of some 30 powers it is 0.93 of the mean.
	floorHz    = 280.0
	floorShare = 0.35
	floorBias  = 0.93
	// wideHz is as far as the first floor is looked for, when nothing is known of the noise in time.
	wideHz    = 1000.0
	wideShare = 0.2
	wideBias  = 0.85
	// The noise of a bin follows its floor down at once, and up by 6 dB in riseSeconds.
	riseSeconds = 40.0

	// firstLooks, 2 s, fill the mean spectrum; until then the noise is the floor.
	firstLooks = 4
	// noiseFalls is the share of a lower floor in the noise at each look: it is there within a second.
	noiseFalls = 0.3
	// A floor is looked for at each floorStep-th bin, as the noise changes little from bin to bin, and a wide one at each wideStep-th,
	// in floorBins of those around: their quantile has a spread of a twentieth.
	floorStep, wideStep, floorBins = 16, 64, 128

	leastRise = 2.2   // power density over the floor of a line
	apartHz   = 15.0  // a line has none that is stronger within
	silence   = 1e-30 // a density that is none
)

// spectrum is what is known at a look: mean densities of late, the floor among neighbours, and the noise over a long
// time.
type spectrum struct {
	f      *frames
	mean   []float32
	floor  []float32
	noise  []float32
	looks  int
	sorted []float32
	peaks  []peak
}

// peak is a line of the mean spectrum.
type peak struct {
	hz      float64
	density float64 // at its top
	floor   float64
}

func newSpectrum(f *frames) *spectrum {
	return &spectrum{f: f, mean: make([]float32, f.bins), floor: make([]float32, f.bins), noise: make([]float32, f.bins),
		sorted: make([]float32, 0, f.bins)}
}

func (s *spectrum) reset() { s.looks = 0 }

// average is the mean of frames from to to.
func (f *frames) average(dst []float32, from, to int64) {
	clear(dst)
	for k := from; k < to; k++ {
		for i, p := range f.of(k) {
			dst[i] += p
		}
	}
	scale := 1 / float32(max(1, to-from))
	for i := range dst {
		dst[i] *= scale
	}
}

// look measures the last seconds; held says where the noise shall not follow, because a wide signal is there.
func (s *spectrum) look(held func(hz float64) bool) {
	f := s.f
	f.average(s.mean, max(0, f.count-int64(meanSeconds/f.hopS)), f.count)
	least := float32(0)
	reach, wide := int(floorHz/f.binHz), int(wideHz/f.binHz)
	up := float32(math.Exp2(lookSeconds / riseSeconds))
	for at := 0; at < f.bins; at += floorStep {
		floor := s.quantile(at, reach, floorShare) / floorBias
		for i := at; i < min(at+floorStep, f.bins); i++ {
			s.floor[i] = floor
		}
		if at%wideStep == 0 && s.looks < firstLooks {
			least = s.quantile(at, wide, wideShare) / wideBias
		}
		still := min(floor, least)
		for i := at; i < min(at+floorStep, f.bins); i++ {
			switch n := &s.noise[i]; {
			case s.looks < firstLooks:
				*n = still
			case floor < *n:
				*n += noiseFalls * (floor - *n)
			case !held(f.hz(float64(i))):
				*n = min(*n*up, floor)
			}
		}
	}
	s.looks++
}

// quantile is that of the bins within reach of one; at the edges of the band as many count.
func (s *spectrum) quantile(at, reach int, share float64) float32 {
	n := min(2*reach+1, s.f.bins)
	from := min(max(at-reach, 0), s.f.bins-n)
	stride := 1 + n/floorBins
	x := s.sorted[:0]
	for i := from; i < from+n; i += stride {
		x = append(x, s.mean[i])
	}
	return demod.Quantile(x, int(share*float64(len(x))))
}

// find lists the lines, the strongest first.
func (s *spectrum) find() []peak {
	s.peaks = s.peaks[:0]
	m := s.mean
	smooth := func(i int) float32 { return m[i-1] + 2*m[i] + m[i+1] }
	reach := max(2, int(math.Round(apartHz/s.f.binHz)))
	for i := reach + 1; i < len(m)-reach-1; i++ {
		p := smooth(i)
		if p < 4*leastRise*s.floor[i] || p < silence {
			continue
		}
		top := true
		for k := 1; k <= reach && top; k++ {
			top = p >= smooth(i-k) && p > smooth(i+k)
		}
		if !top {
			continue
		}
		s.peaks = append(s.peaks, peak{s.f.hz(float64(i) + vertex(smooth(i-1), p, smooth(i+1))), float64(p) / 4, float64(s.floor[i])})
	}
	slices.SortFunc(s.peaks, func(a, b peak) int {
		switch {
		case a.density > b.density:
			return -1
		case a.density < b.density:
			return 1
		}
		return 0
	})
	kept := s.peaks[:0]
	for _, p := range s.peaks {
		if !slices.ContainsFunc(kept, func(q peak) bool { return skirt(p, q.hz, q.density) }) {
			kept = append(kept, p)
		}
	}
	s.peaks = kept
	return kept
}

// skirt says that a peak may be no more than a sideband of a signal at a frequency.
func skirt(p peak, hz, density float64) bool {
	d := math.Abs(p.hz - hz)
	return d < skirtHz && p.density < density*skirtLevel(d)
}

const (
	skirtHz = 600.0 // as far as sidebands are looked for
	// Within nearSkirtHz, 3 dB and a dB in dBEachHz: the lines of keying itself. From there on farSkirtDB, and a power
	// that falls with the distance to the skirtSlope.
	nearSkirtHz, nearSkirtDB, dBEachHz = 60.0, 3.0, 7.0
	farSkirtDB, skirtSlope             = 12.0, 3.5
)

// skirtLevel is how strong the sidebands of a strong signal may be at a distance from it. Those of keying with a phase
// that does not jump fall by 12 dB an octave (M. K. Simon, Bandwidth-Efficient Digital Modulation, 2003, from memory),
// from some 20 dB at 100 Hz on for the usual rates; a slope of 10.5 dB an octave leaves room for what jumps.
func skirtLevel(hz float64) float64 {
	if hz < nearSkirtHz {
		return math.Pow(10, -(nearSkirtDB+hz/dBEachHz)/10)
	}
	return math.Pow(10, -farSkirtDB/10) * math.Pow(hz/nearSkirtHz, -skirtSlope)
}

// vertex is where a line is between three densities, in bins from the middle one.
func vertex(a, b, c float32) float64 {
	return demod.Vertex(math.Log(float64(a)+tiny), math.Log(float64(b)+tiny), math.Log(float64(c)+tiny))
}
