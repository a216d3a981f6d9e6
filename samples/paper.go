package samples

import (
	"errors"
	"fmt"
	"image"
	"image/draw"
	"math"

	xdraw "golang.org/x/image/draw"
)

// maxLines bounds the picture: over two hours at 120 lines a minute.
const maxLines = 20000

// liveSector is the share of the line that a scaled picture takes; the rest is the dead sector, white, with its
// middle on the start of the line (4.5 % ± 0.5 %, WMO-No. 386 part III-5, from memory).
const liveSector = 1 - 0.045

// paper is the picture as it lies on the drum: columns × lines of greys, read row by row.
type paper struct {
	columns, lines int
	src            image.Image // columns wide
	row            *image.Gray // one line, as it is being sent
	have           int64       // its number, -1 for none
}

func newPaper(m image.Image, columns int) (*paper, error) {
	w, h := m.Bounds().Dx(), m.Bounds().Dy()
	if w <= 0 || h <= 0 {
		return nil, errors.New("the picture is empty")
	}
	if w != columns {
		live := int(math.Round(liveSector * float64(columns)))
		lines := max(1, math.Round(float64(h)*float64(live)/float64(w))) // square elements
		if w > 1<<16 || h > maxLines || lines > maxLines {
			return nil, fmt.Errorf("a picture of %d×%d becomes %.0f lines; the limits are a width of %d and %d lines", w, h, lines, 1<<16, maxLines)
		}
		m = fit(m, columns, live, int(lines))
	}
	if h := m.Bounds().Dy(); h > maxLines {
		return nil, fmt.Errorf("a picture of %d lines exceeds the limit of %d", h, maxLines)
	}
	return &paper{columns: columns, lines: m.Bounds().Dy(), src: m, row: image.NewGray(image.Rect(0, 0, columns, 1)), have: -1}, nil
}

// run gives the grey of an element as video, and the next element of the line that differs (or the line's end).
func (p *paper) run(i int64) (video float64, next int64) {
	line, col := i/int64(p.columns), int(i%int64(p.columns))
	if line != p.have {
		p.load(int(line))
		p.have = line
	}
	k := col + 1
	for k < p.columns && p.row.Pix[k] == p.row.Pix[col] {
		k++
	}
	return float64(p.row.Pix[col])/127.5 - 1, i + int64(k-col)
}

// load converts a row of the picture to grey over white paper.
func (p *paper) load(line int) {
	b := p.src.Bounds()
	if g, ok := p.src.(*image.Gray); ok {
		copy(p.row.Pix, g.Pix[g.PixOffset(b.Min.X, b.Min.Y+line):])
		return
	}
	whiten(p.row)
	draw.Draw(p.row, p.row.Rect, p.src, image.Pt(b.Min.X, b.Min.Y+line), draw.Over)
}

func whiten(m *image.Gray) {
	for i := range m.Pix {
		m.Pix[i] = 255
	}
}

// fit scales a picture to live × lines elements in the middle of white paper. It works along the rows first and
// down the columns then, in strips, because the scaler keeps 32 bytes for each element of a strip.
func fit(m image.Image, columns, live, lines int) *image.Gray {
	const strip = 32
	b := m.Bounds()
	wide := image.NewGray(image.Rect(0, 0, live, b.Dy()))
	whiten(wide)
	for y := 0; y < b.Dy(); y += strip {
		e := min(y+strip, b.Dy())
		src := image.Rect(b.Min.X, b.Min.Y+y, b.Max.X, b.Min.Y+e)
		xdraw.CatmullRom.Scale(wide, image.Rect(0, y, live, e), m, src, draw.Over, nil)
	}
	out := image.NewGray(image.Rect(0, 0, columns, lines))
	whiten(out)
	left := (columns - live + 1) / 2
	for x := 0; x < live; x += strip {
		e := min(x+strip, live)
		xdraw.CatmullRom.Scale(out, image.Rect(left+x, 0, left+e, lines), wide, image.Rect(x, 0, e, b.Dy()), draw.Src, nil)
	}
	return out
}
