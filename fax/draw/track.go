package draw

import (
	"image"
	"math"
)

// Track is the frequency of a video along its time, from which a chart is drawn plainly in a moment, however its drawing is changed:
// lines may be of any length and begin anywhere. It takes as many bytes as its video.
type Track struct {
	first int64   // video index of the first value
	hz    []int16 // mean from CentreHz from one video sample to the next, Hz
}

// trackRange is a power of two that has room for the whole band of a video, in Hz. Whole Hz are three to a level of grey.
const trackRange = 4096

// NewTrack reads a video, which takes as long as drawing it plainly. Its noise is reduced line by line, as in a plain drawing with
// lines of this length.
func NewTrack(v *Video, period float64) *Track {
	n := max(1, int(math.Round(period)))
	const deviation = VideoRate / 4
	s := newLineSource(v, grid{origin: float64(v.First()), period: float64(n), columns: n, steps: n}, tuning{deviation: deviation})
	t := &Track{first: v.First(), hz: make([]int16, v.End()-v.First())}
	line := make([]float32, n)
	for row := 0; row*n < len(t.hz); row++ {
		s.load(row)
		s.brightness(line, row)
		for i, b := range line[:min(n, len(t.hz)-row*n)] {
			t.hz[row*n+i] = int16(min(max((b-0.5)*(2*deviation), -trackRange/2), trackRange/2-1))
		}
	}
	return t
}

// Bytes is what the track takes in memory.
func (t *Track) Bytes() int { return 2 * cap(t.hz) }

// Draw draws the part of a plain drawing whose pixels are in a rectangle, in a size of its own, which may be smaller.
func (t *Track) Draw(d Drawing, part image.Rectangle, size image.Point) *image.Gray {
	part = part.Intersect(image.Rect(0, 0, d.Columns, d.Rows))
	m := image.NewGray(image.Rectangle{Max: size})
	if part.Empty() || m.Rect.Empty() || len(t.hz) == 0 {
		return m
	}
	p := trackPainter{levels: d.levels(), edges: make([]int, size.X+1), sums: make([]int64, size.X)}
	pixel := d.Period / float64(d.Columns) // in video samples
	for i := range p.edges {
		x := float64(part.Min.X) + float64(i*part.Dx())/float64(size.X)
		p.edges[i] = int(math.Round(x * pixel * (1 << fine)))
	}
	width := float64(part.Dx()) / float64(size.X) * pixel
	p.narrow = width < 1.5
	for n := range int(width) + 3 {
		p.shares = append(p.shares, 1<<shareBits/int64(max(n, 1)))
	}
	for y := range size.Y {
		from := part.Min.Y + y*part.Dy()/size.Y
		to := max(from+1, part.Min.Y+(y+1)*part.Dy()/size.Y)
		clear(p.sums)
		for row := from; row < to; row++ {
			p.add(t, d.Origin+float64(row)*d.Period)
		}
		share := int64(1 << shareBits / (to - from))
		for x, sum := range p.sums {
			m.Pix[y*m.Stride+x] = uint8((sum*share + 1<<(shareBits+fine-1)) >> (shareBits + fine))
		}
	}
	return m
}

// fine is how many bits of a level of grey are kept in sums, and of a video sample in places.
const fine = 8

// trackPainter adds up rows of a picture.
type trackPainter struct {
	levels *[trackRange]uint8
	edges  []int   // of columns, in video samples << fine from a row's start
	narrow bool    // a column is hardly wider than a sample
	line   []uint8 // levels of the samples of a row
	sums   []int64 // of levels << fine
	shares []int64 // 1 << shareBits over a number of samples: divisions would take half of the time
}

const shareBits = 24

// add adds the row that starts at a video index.
func (p *trackPainter) add(t *Track, start float64) {
	// A sample's value stands for the time until the next one: its middle is half a sample behind its index.
	first := start - 0.5 - float64(t.first)
	from := int(math.Floor(first)) + p.edges[0]>>fine
	offset := int((first-math.Floor(first))*(1<<fine)) + p.edges[0]&(1<<fine-1) - p.edges[0] // of an edge's place in line
	p.load(t, from, (p.edges[len(p.edges)-1]+offset)>>fine+3)
	line := p.line
	for x := range p.sums {
		a, b := p.edges[x]+offset, p.edges[x+1]+offset
		if p.narrow { // between the two samples around its middle
			place := (a + b) >> 1
			i, share := place>>fine, place&(1<<fine-1)
			p.sums[x] += int64(int(line[i])*(1<<fine-share) + int(line[i+1])*share)
			continue
		}
		const up = 1<<fine - 1
		i, end := (a+up)>>fine, (b+up)>>fine
		sum := int64(0)
		for _, v := range line[i:end] {
			sum += int64(v)
		}
		p.sums[x] += sum * p.shares[end-i] >> (shareBits - fine)
	}
}

// load sets the line to so many levels from a place of the track on. Beyond its ends the track stands still.
func (p *trackPainter) load(t *Track, from, n int) {
	if cap(p.line) < n {
		p.line = make([]uint8, n+8)
	}
	p.line = p.line[:n]
	if from >= 0 && from+n <= len(t.hz) {
		for i, hz := range t.hz[from : from+n] {
			p.line[i] = p.levels[uint16(hz)%trackRange]
		}
		return
	}
	for i := range p.line {
		p.line[i] = p.levels[uint16(t.hz[min(max(from+i, 0), len(t.hz)-1)])%trackRange]
	}
}

// levels are those that frequencies of a track are drawn as.
func (d *Drawing) levels() *[trackRange]uint8 {
	var table [trackRange]uint8
	deviation := d.DeviationHz
	if d.Inverted {
		deviation = -deviation
	}
	for hz := -trackRange / 2; hz < trackRange/2; hz++ {
		b := (float64(hz)-d.OffsetHz)/(2*deviation) + 0.5
		b = (min(max(b, 0), 1) - d.Black) / (d.White - d.Black)
		table[uint16(hz)%trackRange] = uint8(min(max(b, 0), 1)*255 + 0.5)
	}
	return &table
}
