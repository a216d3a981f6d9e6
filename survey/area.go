package survey

import "ionoscribe/demod"

// areaSearch looks for a range that is full of something: a fax, speech, noise that comes and goes.
type areaSearch struct {
	frames   *frames
	spectrum *spectrum
	lines    *lines
	tracks   *tracks
	tracker  *tracker
	area     area // the widest of the latest look
	sorted   []float32
}

// area is a range that is full.
type area struct {
	low, width float64 // Hz; 0: nothing
	first      int64   // frame in which it was seen first
	fromStart  bool    // it is there since the first look: the shape of the receiver's noise, perhaps
}

const (
	areaBandHz  = 100.0 // a range is looked at by bands of that width: narrow enough for the noise to be even in it,
	leastInBand = 4     // and bins at least
	areaRise    = 1.8   // median of a band over its noise: noise itself strays by a tenth of that
	leastAreaHz = 400.0 // less is narrow
	leastFlat   = 0.35  // share of the power that is even from bin to bin: of lines it is far less, of noise 0.7 (ln 2)
	areaAge     = 6.0   // seconds after which an area that is no fax is something else
	linesAge    = 22.0  // the same if there are lines in it, which may explain it
	startLooks  = 6     // 3 s
	areaSure    = 0.6   // confidence
	mostBetween = 1     // bands that are not full within an area
)

// look finds the widest area; what has been there for long, and is of no mode, is a track.
func (a *areaSearch) look(last bool) {
	f, now := a.frames, a.frames.count
	low, width := a.widest()
	if width < leastAreaHz {
		a.area = area{}
		return
	}
	if a.area.width == 0 {
		a.area.first = now
		a.area.fromStart = a.spectrum.looks < startLooks
	}
	a.area.low, a.area.width = low, width
	age := f.seconds(now - a.area.first)
	if last || a.area.fromStart || age < areaAge || a.flat() < leastFlat && age < linesAge {
		return
	}
	t := &track{Finding: Finding{Kind: Other, Hz: low + width/2, LowHz: low, HighHz: low + width, Confidence: areaSure}, shape: otherShape, broad: true}
	t.noise = f.mean(a.spectrum.noise, t.LowHz, t.HighHz)
	t.spots = []spot{{f.bin(t.LowHz), f.bin(t.HighHz)}}
	a.tracker.open(t, now)
	a.area = area{}
}

// holds says that a frequency is in the area.
func (a *area) holds(hz float64) bool { return a.width > 0 && hz > a.low && hz < a.low+a.width }

// widest is the widest range of bands that are full; 0 if none is.
func (a *areaSearch) widest() (lowHz, widthHz float64) {
	f := a.frames
	perBand := max(leastInBand, int(areaBandHz/f.binHz))
	bestLow, bestWidth := 0, 0
	low, width, miss := 0, 0, 0
	for at := 0; at+perBand <= f.bins; at += perBand {
		if a.full(at, perBand) {
			if width == 0 {
				low = at
			}
			width = at + perBand - low
			miss = 0
			if width > bestWidth {
				bestLow, bestWidth = low, width
			}
		} else if miss++; miss > mostBetween {
			width = 0
		}
	}
	return f.hz(float64(bestLow)), float64(bestWidth) * f.binHz
}

// full says whether a band stands out of its noise as a whole, and is no part of a track or sideband of one.
func (a *areaSearch) full(at, n int) bool {
	median := a.median(at, n)
	if median < areaRise*float64(a.spectrum.noise[at+n/2]) {
		return false
	}
	p := peak{hz: a.frames.hz(float64(at) + float64(n)/2), density: median}
	for _, t := range a.tracks.list {
		if t.covers(p) || t.sideband(p) || t.broad && p.hz > t.LowHz && p.hz < t.HighHz {
			return false
		}
	}
	return !a.lines.explain(p)
}

func (a *areaSearch) median(at, n int) float64 {
	a.sorted = append(a.sorted[:0], a.spectrum.mean[at:at+n]...)
	return float64(demod.Quantile(a.sorted, n/2))
}

// flat is the share of the area's power that is not in lines: the sum of the medians of bands over that of all.
func (a *areaSearch) flat() float64 {
	f := a.frames
	n := max(leastInBand, int(areaBandHz/f.binHz))
	even, all := 0.0, tiny
	for at := f.bin(a.area.low); at+n <= f.bin(a.area.low+a.area.width)+1; at += n {
		for _, v := range a.spectrum.mean[at : at+n] {
			all += float64(v)
		}
		even += float64(n) * a.median(at, n)
	}
	return even / all
}
