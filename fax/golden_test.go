package fax_test

import (
	"flag"
	"image"
	"image/png"
	"math"
	"os"
	"path/filepath"
	"testing"

	"ionoscribe/fax"
	"ionoscribe/samples"
)

var update = flag.Bool("update", false, "rewrite testdata/*.png; look at each before you commit it")

// Received charts stay as they are. Other processors may fuse multiplications and additions (Go specification),
// which can turn a doubtful pixel over: a quarter of a grey level a pixel is let pass.
func TestGolden(t *testing.T) {
	grey := image.NewGray(image.Rect(0, 0, 905, 100))
	for i := range grey.Pix {
		x, y := float64(i%905), float64(i/905)
		grey.Pix[i] = uint8(128 + 60*math.Sin(x/37)*math.Cos(y/11) + 67*math.Tanh((x-452)/200))
		if x < 21 || x > 884 {
			grey.Pix[i] = 255
		}
	}
	for _, c := range []struct {
		name string
		snr  float64
		sent *image.Gray
	}{{"chart-3dB", 3, picture(288, 100, 1)}, {"greys-10dB", 10, grey}} {
		x, _ := trial{FaxConfig: samples.FaxConfig{Picture: c.sent, SampleRate: endRate, IOC: 288}, snr: c.snr, ppm: 90, seed: 4}.audio(t)
		charts := hear(t, config(), x)
		if len(charts) != 1 {
			t.Errorf("%s: %d charts", c.name, len(charts))
			continue
		}
		golden(t, c.name, charts[0])
	}
}

func golden(t *testing.T, name string, c *fax.Chart) {
	t.Helper()
	path := filepath.Join("testdata", name)
	if *update {
		writePNG(t, path+".png", c.Image)
	}
	f, err := os.Open(path + ".png")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	want, err := png.Decode(f)
	if err != nil {
		t.Fatal(err)
	}
	sum, w := 0.0, want.(*image.Gray)
	if w.Rect != c.Image.Rect {
		t.Fatalf("%s: received %v, golden %v", name, c.Image.Rect, w.Rect)
	}
	for i, v := range w.Pix {
		sum += math.Abs(float64(v) - float64(c.Image.Pix[i]))
	}
	if d := sum / float64(len(w.Pix)); d > 0.25 {
		writePNG(t, path+".got.png", c.Image)
		t.Errorf("%s: %.2f grey levels a pixel from the golden chart; see %s.got.png", name, d, path)
	}
}

func writePNG(t *testing.T, path string, m image.Image) {
	t.Helper()
	f, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	if err := png.Encode(f, m); err != nil {
		t.Fatal(err)
	}
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
}
