//go:build !race

// The race detector allocates more.

package chartfile

import (
	"bytes"
	"image"
	"image/color"
	"image/png"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"golang.org/x/image/tiff"
)

// The memory that decoding takes is bounded as pictureBytes says; what is allocated in all is more than that still.
func TestPictureBytes(t *testing.T) {
	files := map[string][]byte{"16 bits": pngBytes(false), "16 bits, interlaced": pngBytes(true)}
	kept, _ := filepath.Glob("testdata/*.jpg")
	more, _ := filepath.Glob("testdata/*.tif")
	for _, name := range append(kept, more...) {
		b, err := os.ReadFile(name)
		must(t, err)
		files[name] = b
	}
	rect := image.Rect(0, 0, pictureSide, pictureSide)
	for name, m := range map[string]image.Image{
		"grey": image.NewGray(rect), "grey of 16 bits": image.NewGray16(rect), "colour": image.NewNRGBA(rect), "colour of 16 bits": image.NewNRGBA64(rect),
		"palette": image.NewPaletted(rect, color.Palette{color.Black, color.White}),
	} {
		var p, f, g bytes.Buffer
		must(t, png.Encode(&p, m))
		must(t, tiff.Encode(&f, m, &tiff.Options{Compression: tiff.Deflate}))
		must(t, tiff.Encode(&g, m, nil))
		files[name+" png"], files[name+" tiff, packed"], files[name+" tiff"] = p.Bytes(), f.Bytes(), g.Bytes()
	}
	for name, b := range files {
		c, form, err := pictureConfig(bytes.NewReader(b))
		if err != nil || strings.Contains(name, "progressive") != (form == formProgressive) {
			t.Errorf("%s: %v, %s", name, err, form)
			continue
		}
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		_, err = decodePicture(bytes.NewReader(b))
		runtime.ReadMemStats(&after)
		must(t, err)
		const around = 1 << 19 // buffers of 32 kB and the like
		took, bound := int64(after.TotalAlloc-before.TotalAlloc), pictureBytes(c, form)
		if took > bound+around {
			t.Errorf("%s takes %d bytes, more than %d", name, took, bound)
		}
		t.Logf("%-40s %5.1f bytes a pixel of %4.1f", name, float64(took)/pictureSide/pictureSide, float64(bound)/pictureSide/pictureSide)
	}
}
