package draw

import (
	"context"
	"errors"
	"fmt"
	"image"
	"image/draw"
	"math"
	"slices"

	"ionoscribe/demod"
)

// Copy is a chart as one receiver heard it, once.
type Copy struct {
	Video   *Video
	Drawing Drawing
}

// Combined is a chart that was drawn from several copies.
type Combined struct {
	Image    *image.Gray
	Quality  []float32         // of each row, in [0,1]
	Likeness []float64         // of each copy to the first
	Differs  []image.Rectangle // where copies show something else: there the best one alone is drawn
}

// OtherError is ErrOther of one of several copies.
type OtherError struct{ Copy int } // its index

func (e *OtherError) Error() string {
	return fmt.Sprintf("draw: copy %d does not show the same as the first", e.Copy+1)
}

func (e *OtherError) Unwrap() error { return ErrOther }

// Combine draws one chart of several copies of it: of the same broadcast heard by several receivers, or of one that was sent again.
// They are laid upon the first, whose rows and columns the result has. Black and white are decided by the likelihoods of all copies,
// greys by their mean; either way each weighs by its own noise, line by line. Pictures with soft edges that are strong enough to be
// sharpened are drawn of the best copy alone. The error is an
// *OtherError if one does not show the same, or that of ctx.
func Combine(ctx context.Context, copies []Copy) (c *Combined, err error) {
	defer gaveUp(ctx, &err)
	copies = slices.Clone(copies)
	shareEcho(copies)
	first := copies[0]
	d := first.Drawing
	matcher, err := NewMatcher(ctx, first.Video, d)
	if err != nil {
		return nil, err
	}
	c = &Combined{}
	weight := medianRatio(d.source(first.Video), d.Rows)
	var shift, slant float64 // what the copies say of the first one's lines, in the mean by their SNR
	for i, o := range copies {
		likeness := 1.0
		if i > 0 {
			m, err := matcher.Match(ctx, o.Video, o.Drawing)
			switch {
			case errors.Is(err, ErrOther):
				return nil, &OtherError{i}
			case err != nil:
				return nil, err
			}
			copies[i].Drawing, likeness = m.Drawing, m.Likeness
			if d.EchoDelay == 0 && o.Drawing.EchoDelay == 0 { // else strokes are where another path has them
				c.Differs = append(c.Differs, m.Differs...)
			}
			if math.Abs(m.shift) < surePixels && math.Abs(m.slant) < surePixels {
				w := medianRatio(m.Drawing.source(o.Video), d.Rows)
				weight += w
				shift, slant = shift-w/weight*(m.shift+shift), slant-w/weight*(m.slant+slant)
			}
		}
		c.Likeness = append(c.Likeness, likeness)
	}
	var sources []*lineSource
	var delays []float64
	for _, o := range copies {
		pixel := o.Drawing.Period / float64(d.Columns)
		o.Drawing.Origin += shift * pixel
		o.Drawing.Period += slant / float64(d.Rows) * pixel
		s := o.Drawing.source(o.Video)
		s.done = ctx.Done()
		sources, delays = append(sources, s), append(delays, o.Drawing.EchoDelay)
	}
	best, most := 0, -1.0
	for i, s := range sources {
		if r := medianRatio(s, d.Rows); r > most {
			best, most = i, r
		}
	}
	k := twoLevels
	if slices.Max(delays) == 0 {
		k = kindOf(sources[best], d.Rows)
	}
	if !d.Plain && slices.Max(delays) == 0 && (k == soft || sharpens(sources[best], d.Rows, k)) {
		// Edges are sharpened by what filters of one copy have done to them: a mean has lost that, and would be worse than the best alone.
		c.Differs = nil
		c.Image, c.Quality = drawFrom(sources[best], d)
		return c, nil
	}
	c.draw(sources, delays, sources[best], d, k)
	c.redraw(sources[best], d)
	if d.Black != 0 || d.White != 1 {
		stretch(c.Image, d.Black, d.White)
	}
	return c, nil
}

// draw draws all rows of all copies as a picture of kind k.
func (c *Combined) draw(sources []*lineSource, delays []float64, best *lineSource, d Drawing, k kind) {
	c.Image = image.NewGray(image.Rect(0, 0, d.Columns, d.Rows))
	levels := make([]rowLevel, d.Rows)
	if k != twoLevels || d.Plain {
		paintGreys(c.Image, levels, newGreyMean(sources, d.Rows).read, d.Plain)
	}
	if !d.Plain && k != greys {
		plain := c.Image
		c.Image = image.NewGray(plain.Rect)
		restore(c.Image, best.grid, levels, newJoint(sources, delays, d.Rows).read)
		if k == mixed {
			mixGreys(c.Image, plain, best)
		}
	}
	for _, l := range levels {
		c.Quality = append(c.Quality, l.quality())
	}
}

// shareEcho has copies of which no second path is known read with the delay that another copy tells: paths to receivers that hear the
// same are alike, and what is wrongly expected of a second path costs little.
func shareEcho(copies []Copy) {
	delay := 0.0
	for _, c := range copies {
		delay = max(delay, c.Drawing.EchoDelay)
	}
	for i := range copies {
		if d := &copies[i].Drawing; d.EchoDelay == 0 {
			d.EchoDelay = delay
		}
	}
}

// redraw draws what differs as one copy alone shows it, with what is around within a cell.
func (c *Combined) redraw(s *lineSource, d Drawing) {
	if len(c.Differs) == 0 {
		return
	}
	d.Black, d.White = 0, 1
	alone, _ := drawFrom(s, d)
	for i, r := range c.Differs {
		r = r.Inset(-cellSize).Intersect(alone.Rect)
		c.Differs[i] = r
		draw.Draw(c.Image, r, alone, r.Min, draw.Src)
	}
}

// medianRatio is the median of the rows' signals over their noise.
func medianRatio(s *lineSource, rows int) float64 {
	const every = 8 // rows
	var all []float64
	for row := 0; row < rows; row += every {
		s.load(row)
		all = append(all, float64(s.signal/(s.noise+leastWeight)))
	}
	return demod.Quantile(all, len(all)/2)
}

// surePixels is by how many pixels the lines of copies may be off each other, and their mean is a better measure than one of them:
// so far both were measured.
const surePixels = 1.0

// joint reads lines of two levels from several copies.
type joint struct {
	readers []*lineReader
	ratios  []float32 // of signal over noise in a row
	trellis *jointTrellis
}

// ignoredShare of the best one's SNR, -8 dB, is that of a copy that would add 0.6 dB at most: what is wrong with its tuning or its
// place would take more.
const ignoredShare = 0.16

// newJoint reads rows of copies of which second paths are late by some delays in video samples.
func newJoint(sources []*lineSource, delays []float64, rows int) *joint {
	j := &joint{}
	var copies []*trellis
	for i, s := range sources {
		r := newLineReader(s, rows, delays[i])
		j.readers, copies = append(j.readers, r), append(copies, r.trellis)
	}
	j.trellis, j.ratios = newJointTrellis(copies), make([]float32, len(copies))
	return j
}

// read sets white to how probable each step of a row is white by all copies. The level is that of the sum of their SNRs.
func (j *joint) read(row int, white, prior []float32, c chain) (level rowLevel) {
	level.noise = 1
	most := float32(0)
	for i, r := range j.readers {
		l := r.observe(row, prior, c)
		j.ratios[i] = l.signal / (l.noise + leastWeight)
		level.signal += j.ratios[i]
		most = max(most, j.ratios[i])
	}
	for i, r := range j.readers {
		if j.ratios[i] < ignoredShare*most {
			r.trellis.ignore()
		}
	}
	j.trellis.run(white, prior, c)
	return level
}

// greyMean reads lines with greys from several copies.
type greyMean struct {
	readers []*greyReader
	line    []float32
}

func newGreyMean(sources []*lineSource, rows int) *greyMean {
	g := &greyMean{line: make([]float32, sources[0].grid.columns)}
	for _, s := range sources {
		g.readers = append(g.readers, newGreyReader(s, rows))
	}
	return g
}

// read sets dst to the mean of the copies' pixels in a row, each weighed by the inverse of its noise: that of frequency
// modulation goes with the SNR, and faster below its threshold.
func (g *greyMean) read(dst []float32, row int) (level rowLevel, most float32, noisy bool) {
	const threshold = 4 // 6 dB in the video's band; see plainNoise
	clear(dst)
	level.noise, noisy = 1, true
	sum := float32(0)
	for _, r := range g.readers {
		l, m, n := r.read(g.line, row)
		ratio := l.signal / (l.noise + leastWeight)
		level.signal += ratio
		w := ratio
		if below := ratio / threshold; below < 1 {
			w *= below * below
		}
		w += leastWeight
		for i, v := range g.line {
			dst[i] += w * v
		}
		sum += w
		most += w * w * min(m, 1)
		noisy = noisy && n
	}
	for i := range dst {
		dst[i] /= sum
	}
	return level, most / (sum * sum), noisy
}
