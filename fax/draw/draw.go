package draw

import (
	"context"
	"image"
)

// Draw draws a chart from its video. quality is that of each row, in [0,1].
func Draw(v *Video, d Drawing) (m *image.Gray, quality []float32) {
	return drawFrom(d.source(v), d)
}

// DrawContext is Draw, but gives up when ctx is done: to restore a chart takes seconds. The error is that of ctx.
func DrawContext(ctx context.Context, v *Video, d Drawing) (m *image.Gray, quality []float32, err error) {
	defer gaveUp(ctx, &err)
	s := d.source(v)
	s.done = ctx.Done()
	m, quality = drawFrom(s, d)
	return m, quality, nil
}

// gaveUp, deferred, makes the error of ctx of the panic by which a source of lines gives up.
func gaveUp(ctx context.Context, err *error) {
	if r := recover(); r == errGaveUp {
		*err = context.Cause(ctx)
	} else if r != nil {
		panic(r)
	}
}

func drawFrom(s *lineSource, d Drawing) (m *image.Gray, quality []float32) {
	k := twoLevels
	if d.EchoDelay == 0 && !d.Plain {
		k = kindOf(s, d.Rows)
	}
	m, rows := drawRows(s, d, k)
	for _, r := range rows {
		quality = append(quality, r.quality())
	}
	return m, quality
}

// rowLevel is the signal and the noise power of a row.
type rowLevel struct{ signal, noise float32 }

// quality maps the SNR of a row to [0,1]: 0 below -5 dB, where hardly a letter is read, 1 from 10 dB on,
// where no stroke is lost.
func (r rowLevel) quality() float32 {
	return float32(min(max((snrDB(r.signal, r.noise)+5)/15, 0), 1))
}

// drawRows draws all rows: plainly if so ordered, otherwise restored as a picture of kind k.
func drawRows(s *lineSource, d Drawing, k kind) (*image.Gray, []rowLevel) {
	m := image.NewGray(image.Rect(0, 0, d.Columns, d.Rows))
	levels := make([]rowLevel, d.Rows)
	if d.EchoDelay == 0 && !d.Plain && sharpens(s, d.Rows, k) {
		k = soft
	}
	switch {
	case k == soft && !d.Plain && s.grid.steps <= s.grid.columns:
		plain := image.NewGray(m.Rect)
		drawGreys(plain, s, levels, false)
		drawSoft(m, plain, s, levels)
	case d.Plain || k == greys || k == soft:
		drawGreys(m, s, levels, d.Plain)
	case k == twoLevels:
		restore(m, s.grid, levels, newLineReader(s, d.Rows, d.EchoDelay).read)
	case k == mixed:
		plain := image.NewGray(m.Rect)
		drawGreys(plain, s, levels, false)
		restore(m, s.grid, levels, newLineReader(s, d.Rows, d.EchoDelay).read)
		mixGreys(m, plain, s)
	}
	if d.Black != 0 || d.White != 1 {
		stretch(m, d.Black, d.White)
	}
	return m, levels
}

// stretch draws the brightness black as 0 and white as 255.
func stretch(m *image.Gray, black, white float64) {
	var table [256]uint8
	for i := range table {
		v := (float64(i)/255 - black) / (white - black)
		table[i] = uint8(min(max(v, 0), 1)*255 + 0.5)
	}
	for i, v := range m.Pix {
		m.Pix[i] = table[v]
	}
}
