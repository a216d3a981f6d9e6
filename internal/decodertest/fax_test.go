package decodertest

import (
	"fmt"
	"hash/crc32"
	"image"
	"testing"

	"ionoscribe/fax"
	"ionoscribe/samples"
)

// A short transmission of IOC 288, joined to the beginning of a second one that is cut off.
func TestFax(t *testing.T) {
	const rate = 8000
	m := drawing(400, 16)
	send := func(m image.Image, c samples.FaxConfig, snr float64) []float32 {
		c.Picture, c.SampleRate = m, rate
		f, err := samples.NewFax(c)
		if err != nil {
			t.Fatal(err)
		}
		return noisy(t, f, f.Power(), snr)
	}
	signal := send(m, samples.FaxConfig{IOC: 288, LPM: 240, PhasingSeconds: 12, BlackSeconds: 1}, 6)
	signal = append(signal, send(m, samples.FaxConfig{LPM: 240, PhasingSeconds: 10, StopSeconds: -1, BlackSeconds: -1}, 3)...)
	lasting := send(drawing(400, 120), samples.FaxConfig{}, 6)
	t.Logf("%d s of signal", len(signal)/rate)
	Contract{
		New:    func(heard func(Event)) Decoder { return newFax(t, fax.Config{SampleRate: rate}, heard) },
		Signal: signal, Lasting: lasting,
		// A minute of video is kept while idle, in pages of 9 s, which come back into use after that.
		IdleWarm: 80 * rate,
		// While receiving there is a page every 9 s; the list of pages grows now and then.
		ReceivingWarm: 15 * rate, Measured: 20 * rate, KeptAllocations: 4,
	}.Run(t)
}

func newFax(t *testing.T, c fax.Config, heard func(Event)) Decoder {
	d, err := fax.New(c, fax.Events{
		Chart: func(c *fax.Chart) {
			heard(Event{c.Start, fmt.Sprintf("chart of %d samples, %d rows, picture %08x, IOC %d, %v lines a minute, %.6f ppm, %.6f Hz, %v dB, %s to %s, %v %v %v",
				c.End-c.Start, c.Rows, crc32.ChecksumIEEE(c.Image.Pix), c.IOC, c.LPM, c.ClockPPM, c.OffsetHz, c.SNR, c.Began, c.Ended, c.PhaseMeasured, c.Inverted, c.TwoLevel)})
		},
		State: func(s fax.State) {
			heard(Event{s.At, fmt.Sprintf("receiving %v, IOC %d, %v lines a minute, %s", s.Receiving, s.IOC, s.LPM, s.Began)})
		},
	})
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func drawing(w, h int) *image.Gray {
	m := image.NewGray(image.Rect(0, 0, w, h))
	for i := range m.Pix {
		if x, y := i%w, i/w; (x*x+y*y*30)%1700 > 400 || x < w/40 || x > w*39/40 {
			m.Pix[i] = 255
		}
	}
	return m
}
