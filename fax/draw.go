package fax

import "image"

// Draw draws a chart from its video. quality is that of each row, in [0,1].
func Draw(v *Video, d Drawing) (m *image.Gray, quality []float32) {
	s := d.source(v)
	m, rows := drawRows(s, d, kindOf(s, d.Rows))
	for _, r := range rows {
		quality = append(quality, r.quality())
	}
	return m, quality
}

func (d *Drawing) source(v *Video) *lineSource {
	return newLineSource(v, newGrid(d.Origin, d.Period, d.Columns), d.tuning())
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
	if d.Plain || k != twoLevels {
		noise := drawPlain(m, s, levels)
		if !d.Plain {
			smoothGreys(m, noise)
		}
	}
	if !d.Plain && k == twoLevels {
		restore(m, s, levels)
	}
	if !d.Plain && k == mixed {
		plain := m
		m = image.NewGray(m.Rect)
		restore(m, s, levels)
		mixGreys(m, plain, s)
	}
	if d.Black != 0 || d.White != 1 {
		stretch(m, d.Black, d.White)
	}
	return m, levels
}

// drawPlain draws the rows plainly; it returns bounds on the variance of their noise.
func drawPlain(m *image.Gray, s *lineSource, levels []rowLevel) (noise []float32) {
	steps, line := make([]float32, s.grid.steps), make([]float32, s.grid.columns)
	noise = make([]float32, len(levels))
	floor := s.noiseFloor(len(levels))
	for row := range levels {
		s.load(row)
		levels[row] = rowLevel{s.signal, s.noise}
		noise[row] = s.plainNoise(floor)
		s.brightness(steps, row)
		pixelsFromSteps(line, steps)
		dst := m.Pix[row*m.Stride:][:len(line)]
		for i, b := range line {
			dst[i] = uint8(min(max(b*255+0.5, 0), 255))
		}
	}
	return noise
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
