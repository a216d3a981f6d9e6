//go:build browser

package main

import (
	"bytes"
	"flag"
	"image"
	"image/png"
	"os"
	"path/filepath"

	"github.com/chromedp/chromedp"
	"golang.org/x/image/draw"
)

var update = flag.Bool("update", false, "write the pictures that screenshots are compared with; look at each before you commit it")

// Pictures are kept at half their size. Machines differ in how they smooth letters, so that some pixels may differ much:
// unlikeAt tells a stroke from paper, and a view whose parts stand elsewhere differs in more than mostUnlike of its pixels.
const (
	unlikeAt   = 48   // of 255
	mostUnlike = 0.02 // share
)

// compare takes a picture of the page, and holds it against the one that is kept.
func (v *visitor) compare(name string, same bool) {
	v.Helper()
	shot, err := chromedp.Run(v.ctx, chromedp.CaptureScreenshot())
	if err != nil {
		v.Fatal(err)
	}
	m, err := png.Decode(bytes.NewReader(shot))
	if err != nil {
		v.Fatal(err)
	}
	half := image.NewRGBA(image.Rect(0, 0, m.Bounds().Dx()/2, m.Bounds().Dy()/2))
	draw.BiLinear.Scale(half, half.Bounds(), m, m.Bounds(), draw.Src, nil)
	kept := filepath.Join("testdata", name+".png")
	if *update {
		v.write(kept, half)
		return
	}
	if !same {
		return
	}
	b, err := os.ReadFile(kept)
	if err != nil {
		v.Errorf("%v; go test -C .page -tags browser -run Views . -update writes it", err)
		return
	}
	want, err := png.Decode(bytes.NewReader(b))
	if err != nil {
		v.Fatal(err)
	}
	if share := unlike(half, want); share > mostUnlike {
		got := filepath.Join("testdata", name+".got.png")
		v.write(got, half)
		v.Errorf("%.1f %% of the picture differ from %s; %s is how it looks now", 100*share, kept, got)
	}
}

func (v *visitor) write(path string, m image.Image) {
	v.Helper()
	var b bytes.Buffer
	if err := (&png.Encoder{CompressionLevel: png.BestCompression}).Encode(&b, m); err != nil {
		v.Fatal(err)
	}
	if err := os.WriteFile(path, b.Bytes(), 0o666); err != nil {
		v.Fatal(err)
	}
}

// unlike is the share of the pixels that differ. The head has a clock, and is left out.
func unlike(a, b image.Image) float64 {
	const head = 60
	if a.Bounds() != b.Bounds() {
		return 1
	}
	n, all := 0, 0
	for y := a.Bounds().Min.Y + head; y < a.Bounds().Max.Y; y++ {
		for x := a.Bounds().Min.X; x < a.Bounds().Max.X; x++ {
			r1, g1, b1, _ := a.At(x, y).RGBA()
			r2, g2, b2, _ := b.At(x, y).RGBA()
			if max(apart(r1, r2), apart(g1, g2), apart(b1, b2)) > unlikeAt {
				n++
			}
			all++
		}
	}
	return float64(n) / float64(all)
}

func apart(a, b uint32) uint32 { return (max(a, b) - min(a, b)) >> 8 }
