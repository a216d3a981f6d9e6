package fax

// Tone is what the tone search found: Hz, and where it began in samples of the audio.
type Tone struct{ Hz, From float64 }

// Tones runs the tone search alone.
func Tones(rate float64, x []float32) (found []Tone) {
	d, err := New(Config{SampleRate: rate}, Events{})
	if err != nil {
		panic(err)
	}
	z := d.front.Append(nil, x)
	return TonesIn(d.front.Flush(z), rate/VideoRate)
}

// TonesIn runs the tone search on video; scale is samples a video sample.
func TonesIn(z []complex64, scale float64) (found []Tone) {
	var t toneSearch
	t.add(z, func(f toneFound) { found = append(found, Tone{f.hz, float64(f.from) * scale}) })
	return found
}

// SeamPlace is a place where the sides of a page may meet: its middle, as a share of the line, and the evidence for it.
type SeamPlace struct {
	Middle   float64
	Features []float64
}

// PageLevels reads a page for SeamPlaces.
func PageLevels(v *Video, d Drawing) (levels []int8, rows int) {
	upper, rows := readLevels(v, newGrid(d.Origin, d.Period, d.Columns), d.Rows, d.OffsetHz, d.DeviationHz)
	levels = make([]int8, len(upper))
	for i, u := range upper {
		levels[i] = int8(u * 127)
	}
	return levels, rows
}

// SeamPlaces are those of a page.
func SeamPlaces(levels []int8, rows int) (out []SeamPlace) {
	upper := make([]float32, len(levels))
	for i, u := range levels {
		upper[i] = float32(u) / 127
	}
	p := newPageView(upper, rows)
	for _, c := range p.places() {
		out = append(out, SeamPlace{c.middle() / float64(p.columns), append([]float64(nil), c.features[:]...)})
	}
	return out
}
