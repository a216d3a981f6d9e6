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
