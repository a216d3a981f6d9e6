package survey

import (
	"slices"

	"ionoscribe/internal/mode"
)

// Picture collects a spectrogram: a number of columns at most, which become twice as long when all are full, so that it
// takes no more memory for a day than for an hour.
type Picture struct {
	modes      []*mode.Mode
	bins, rows int
	binsEach   int
	lowHz      float64
	rowHz      float64
	rate       float64 // Hz, of samples
	hop        int64
	base       int64 // sample of the first frame

	cells   []float32 // power densities by column, summed over its frames
	columns int       // that are begun
	filled  int       // frames in the last one
	each    int       // frames a column
	seen    int64     // frames
	marks   []Finding
}

const (
	pictureColumns = 1400
	pictureRows    = 640
	mostMarks      = 400
)

// Picture begins to collect a spectrogram, of all that is written from now on.
func (s *Survey) Picture() *Picture {
	f := s.frames
	p := &Picture{modes: s.modes, bins: f.bins, rate: f.rate, hop: f.hop, each: 1, base: s.ring.end}
	p.binsEach = (f.bins + pictureRows - 1) / pictureRows
	p.rows = f.bins / p.binsEach
	p.lowHz, p.rowHz = f.hz(-0.5), f.binHz*float64(p.binsEach)
	p.cells = make([]float32, pictureColumns*p.rows)
	s.picture = p
	return p
}

// add takes a frame.
func (p *Picture) add(power []float32) {
	p.seen++
	if p.columns == 0 || p.filled == p.each {
		if p.columns == pictureColumns {
			p.halve()
		}
		if p.columns == 0 || p.filled == p.each {
			p.columns++
			p.filled = 0
			clear(p.column(p.columns - 1))
		}
	}
	p.filled++
	c := p.column(p.columns - 1)
	for i := range c {
		// The strongest bin, lest narrow lines fade into the noise around.
		c[i] += slices.Max(power[i*p.binsEach : (i+1)*p.binsEach])
	}
}

func (p *Picture) column(i int) []float32 { return p.cells[i*p.rows:][:p.rows] }

// halve joins columns by twos.
func (p *Picture) halve() {
	for i := 0; i < p.columns/2; i++ {
		to, a, b := p.column(i), p.column(2*i), p.column(2*i+1)
		for k := range to {
			to[k] = a[k] + b[k]
		}
	}
	p.columns /= 2
	p.each *= 2
	p.filled = p.each
}

// mark notes a finding; of too many the shortest is dropped.
func (p *Picture) mark(f Finding) {
	p.marks = append(p.marks, f)
	if len(p.marks) <= mostMarks {
		return
	}
	short := 0
	for i, m := range p.marks {
		if m.End-m.Begin < p.marks[short].End-p.marks[short].Begin {
			short = i
		}
	}
	p.marks = slices.Delete(p.marks, short, short+1)
}

// end is the sample at which the picture ends.
func (p *Picture) end() int64 { return p.base + p.seen*p.hop }
