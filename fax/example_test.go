package fax_test

import (
	"fmt"
	"image"

	"ionoscribe/fax"
	"ionoscribe/samples"
)

// An hour-glass of two levels, sent without noise: in a real program src is a recording or a receiver.
func transmission() *samples.Fax {
	m := image.NewGray(image.Rect(0, 0, fax.Columns(288), 60))
	for i := range m.Pix {
		x, y := i%m.Stride-452, i/m.Stride-30
		m.Pix[i] = 255
		if x > -400 && x < 400 && x*x < 100*y*y {
			m.Pix[i] = 0
		}
	}
	src, err := samples.NewFax(samples.FaxConfig{Picture: m, SampleRate: 8000, IOC: 288, CentreHz: 1930})
	if err != nil {
		panic(err)
	}
	return src
}

func ExampleAll() {
	for chart, err := range fax.All(transmission(), fax.Config{}) {
		if err != nil {
			fmt.Println(err)
			return
		}
		fmt.Printf("IOC %d, %g lines a minute, %d lines of %d pixels, %.0f Hz off tune\n",
			chart.IOC, chart.LPM, chart.Rows, chart.Columns, chart.OffsetHz)
		fmt.Printf("from %s to %s\n", chart.Began, chart.Ended)
	}
	// Output:
	// IOC 288, 120 lines a minute, 60 lines of 905 pixels, 30 Hz off tune
	// from start tone to stop tone
}

func ExampleDecoder() {
	src := transmission()
	d, err := fax.New(fax.Config{SampleRate: src.SampleRate()}, fax.Events{
		Chart: func(c *fax.Chart) { fmt.Println(c.Image.Rect.Dx(), "columns") },
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	block := make([]float32, 1000)
	for {
		n, err := src.ReadSamples(block)
		d.Write(block[:n])
		if err != nil {
			break
		}
	}
	d.Flush()
	// Output: 905 columns
}
