package grade

import (
	"image"
	"math"

	"ionoscribe/demod"
)

// Textbook is the yardstick: a receiver as textbooks draw it, which knows tuning, clock and line timing. A filter
// of ±1100 Hz around the sub-carrier, a limiter and discriminator, a video filter of 1300 Hz, and the value in
// the middle of each pixel. It restores nothing.
type Textbook struct {
	SampleRate  float64 // Hz
	CentreHz    float64 // middle between black and white
	DeviationHz float64 // of white from the middle; negative if white is the lower frequency
	Start       float64 // sample index at which row 0 starts
	Period      float64 // samples a line
	Columns     int
	Rows        int
}

// Draw receives the picture in the samples, line by line; beyond them it takes silence.
func (t Textbook) Draw(x []float32) *image.Gray {
	m := image.NewGray(image.Rect(0, 0, t.Columns, t.Rows))
	before := taps(demod.Lowpass(t.SampleRate, 1000, 1200, 40)) // 6 dB down at 1100 Hz
	behind := taps(demod.Lowpass(t.SampleRate, 1100, 1500, 40)) // 6 dB down at 1300 Hz
	video := make([]float32, int(t.Period)+4)
	raw := make([]float32, len(video)+len(behind)-1)
	re, im := make([]float32, len(raw)+1), make([]float32, len(raw)+1)
	mixedRe, mixedIm := make([]float32, len(re)+len(before)-1), make([]float32, len(re)+len(before)-1)
	for row := range t.Rows {
		start := t.Start + t.Period*float64(row)
		first := int(math.Floor(start)) // sample index of video[0]
		from := first - len(behind)/2 - 1 - len(before)/2
		// Where the oscillator's phase begins does not matter to a discriminator.
		oscillator := demod.NewOscillator(t.SampleRate, -t.CentreHz)
		for i := range mixedRe {
			c, s := oscillator.Next(), float32(0)
			if k := from + i; k >= 0 && k < len(x) {
				s = x[k]
			}
			mixedRe[i], mixedIm[i] = s*real(c), s*imag(c)
		}
		filter(re, mixedRe, before)
		filter(im, mixedIm, before)
		for i := range raw {
			p := complex(re[i+1], im[i+1]) * complex(re[i], -im[i])
			raw[i] = float32(math.Atan2(float64(imag(p)), float64(real(p))) * t.SampleRate / (2 * math.Pi * t.DeviationHz))
		}
		filter(video, raw, behind)
		for k := range t.Columns {
			// video[i] lies half a sample before sample first+i.
			at := start - float64(first) + t.Period*(float64(k)+0.5)/float64(t.Columns) + 0.5
			i := int(at)
			f := float32(at - float64(i))
			v := video[i] + f*(video[i+1]-video[i])
			m.Pix[row*m.Stride+k] = uint8(math.Round(math.Min(math.Max(float64(v)*127.5+127.5, 0), 255)))
		}
	}
	return m
}

func taps(h []float64) []float32 {
	t := make([]float32, len(h))
	for i, c := range h {
		t[i] = float32(c)
	}
	return t
}
