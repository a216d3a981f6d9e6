package survey

import "math"

// areaSearch looks for a range that is full of something: a fax, speech, noise that comes and goes.
type areaSearch struct {
	low, width float64 // Hz; 0: nothing
	first      int64   // frame in which it was seen first
	fromStart  bool    // it is there since the first look: the shape of the receiver's noise, perhaps
}

const (
	areaBandHz  = 100.0
	areaRise    = 1.8 // median of a band over its noise
	leastAreaHz = 400.0
	leastFlat   = 0.35 // share of the power that is even from bin to bin
	areaAge     = 6.0  // seconds after which an area that is no fax is something else
)

// seekArea finds the widest area.
func (s *Survey) seekArea(last bool) {
	f, sp := s.frames, s.spectrum
	a := &s.area
	perBand := max(4, int(areaBandHz/f.binHz))
	bestLow, bestWidth := 0, 0
	low, width, miss := 0, 0, 0
	for at := 0; at+perBand <= f.bins; at += perBand {
		if s.full(at, perBand) {
			if width == 0 {
				low = at
			}
			width = at + perBand - low
			miss = 0
			if width > bestWidth {
				bestLow, bestWidth = low, width
			}
		} else if miss++; miss > 1 {
			width = 0
		}
	}
	now := f.count
	if w := float64(bestWidth) * f.binHz; w >= leastAreaHz {
		if a.width == 0 {
			a.first = now
			a.fromStart = sp.looks < 6
		}
		a.low, a.width = f.hz(float64(bestLow)), w
	} else {
		*a = areaSearch{}
		return
	}
	if last || a.fromStart || s.seconds(now-a.first) < areaAge {
		return
	}
	if s.flat() < leastFlat && s.seconds(now-a.first) < otherAge {
		return // there are lines in it, which may explain it
	}
	t := &track{Finding: Finding{Kind: Other, Hz: a.low + a.width/2, LowHz: a.low, HighHz: a.low + a.width, Confidence: 0.6}, shape: otherShape, broad: true}
	t.noise = s.mean(sp.noise, t.LowHz, t.HighHz)
	t.spots = []spot{{f.bin(t.LowHz), f.bin(t.HighHz)}}
	s.open(t, now)
	*a = areaSearch{}
}

// flat is the share of the area's power that is not in lines: the sum of the medians of bands over that of all.
func (s *Survey) flat() float64 {
	f, m := s.frames, s.spectrum.mean
	n := max(4, int(areaBandHz/f.binHz))
	even, all := 0.0, 1e-35
	for at := f.bin(s.area.low); at+n <= f.bin(s.area.low+s.area.width)+1; at += n {
		x := append(s.sorted[:0], m[at:at+n]...)
		s.sorted = x
		for _, v := range x {
			all += float64(v)
		}
		even += float64(n) * float64(quantile(x, n/2))
	}
	return even / all
}

// full says whether a band stands out of its noise as a whole, and is no part of a track or sideband of one.
func (s *Survey) full(at, n int) bool {
	f, sp := s.frames, s.spectrum
	x := append(s.sorted[:0], sp.mean[at:at+n]...)
	s.sorted = x
	median := float64(quantile(x, n/2))
	if median < areaRise*float64(sp.noise[at+n/2]) {
		return false
	}
	p := peak{hz: f.hz(float64(at) + float64(n)/2), density: median}
	for _, t := range s.tracks {
		if t.covers(p) || t.sideband(p) || t.broad && p.hz > t.LowHz && p.hz < t.HighHz {
			return false
		}
	}
	for _, l := range s.lines {
		if d := math.Abs(l.hz - p.hz); d < skirtHz && median < l.density*skirtLevel(d) {
			return false
		}
	}
	return true
}

// pictureTurns a second are those from black to white and back of a dense picture: two lines with 400 of them.
const pictureTurns = 800.0

// sideband says that a density may be that of the sidebands of a fax. At f from the centre, turns of the frequency between
// ±d of which the phase does not jump have (2d)²/(4π²(f²-d²)²) of the power each: the difference of the spectra of two
// tones that begin and end there.
func (t *track) sideband(p peak) bool {
	a := t.area()
	if a == nil {
		return false
	}
	d := a.DeviationHz
	f := p.hz - t.Hz
	if math.Abs(f) < a.ReachHz {
		return true
	}
	power := t.noise * 2500 * math.Pow(10, t.SNR/10)
	return p.density < t.noise+power*pictureTurns*4*d*d/(4*math.Pi*math.Pi*(f*f-d*d)*(f*f-d*d))
}
