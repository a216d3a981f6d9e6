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
	DeviationHz float64
	Start       float64 // sample index at which row 0 starts
	Period      float64 // samples a line
	Columns     int
	Rows        int
}

// Draw receives the picture in the samples.
func (t Textbook) Draw(x []float32) *image.Gray {
	m := image.NewGray(image.Rect(0, 0, t.Columns, t.Rows))
	var oscillator demod.Oscillator = demod.NewOscillator(t.SampleRate, -t.CentreHz)
	before := demod.Lowpass(t.SampleRate, 1000, 1200, 40) // 6 dB down at 1100 Hz
	behind := demod.Lowpass(t.SampleRate, 1100, 1500, 40) // 6 dB down at 1300 Hz
	z := make([]complex64, len(x))
	for i, s := range x {
		c := oscillator.Next()
		z[i] = complex(s*real(c), s*imag(c))
	}
	re, im := make([]float32, len(z)), make([]float32, len(z))
	for i, c := range z {
		re[i], im[i] = real(c), imag(c)
	}
	re, im = filter(re, before), filter(im, before)
	video := make([]float32, len(re))
	for i := 1; i < len(re); i++ {
		p := complex(re[i], im[i]) * complex(re[i-1], -im[i-1])
		video[i] = float32(math.Atan2(float64(imag(p)), float64(real(p))) * t.SampleRate / (2 * math.Pi * t.DeviationHz))
	}
	video = filter(video, behind)
	for row := range t.Rows {
		for k := range t.Columns {
			// video[i] lies half a sample before i.
			at := t.Start + t.Period*(float64(row)+(float64(k)+0.5)/float64(t.Columns)) + 0.5
			i := int(math.Floor(at))
			if i < 0 || i+1 >= len(video) {
				continue
			}
			f := float32(at - float64(i))
			v := video[i] + f*(video[i+1]-video[i])
			m.Pix[row*m.Stride+k] = uint8(math.Round(math.Min(math.Max(float64(v)*127.5+127.5, 0), 255)))
		}
	}
	return m
}

// filter is the convolution of x with the taps h of a symmetric filter, in step with x.
func filter(x []float32, h []float64) []float32 {
	taps := make([]float32, len(h))
	for i, c := range h {
		taps[i] = float32(c)
	}
	half := len(h) / 2
	padded := make([]float32, len(x)+2*half)
	copy(padded[half:], x)
	out := make([]float32, len(x))
	for i := range out {
		w := padded[i:][:len(taps)]
		sum := float32(0)
		for k, c := range taps {
			sum += c * w[k]
		}
		out[i] = sum
	}
	return out
}
