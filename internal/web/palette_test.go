package web

import (
	"math"
	"os"
	"regexp"
	"slices"
	"strconv"
	"testing"
)

// The page's spectrogram has the shades of the survey's picture. Their luminance rises all the way, so that eyes that do not tell
// colours apart see what others see.
func TestPalette(t *testing.T) {
	page := shadesIn(t, "page/src/now/palette.ts", `(?s)const shades.*?= \[(.*?)\];`, `\[(\d+), (\d+), (\d+)\]`)
	picture := shadesIn(t, "../../survey/draw.go", `(?s)var shades = \[\]color\.RGBA\{(.*?)\n\}`, `\{(\d+), (\d+), (\d+), 255\}`)
	if len(page) < 2 || !slices.Equal(page, picture) {
		t.Errorf("the page has %v, the picture %v", page, picture)
	}
	last := -1.0
	for _, c := range page {
		l := 0.2126*linear(c[0]) + 0.7152*linear(c[1]) + 0.0722*linear(c[2])
		if l <= last {
			t.Errorf("%v is not lighter than the one before", c)
		}
		last = l
	}
}

// linear is the light of a colour's byte (WCAG 2.2, relative luminance).
func linear(v float64) float64 {
	if v /= 255; v > 0.04045 {
		return math.Pow((v+0.055)/1.055, 2.4)
	}
	return v / 12.92
}

// shadesIn are the colours of a part of a file.
func shadesIn(t *testing.T, path, part, shade string) (all [][3]float64) {
	t.Helper()
	b, err := os.ReadFile(path)
	must(t, err)
	m := regexp.MustCompile(part).FindSubmatch(b)
	if m == nil {
		t.Fatalf("%s has no shades", path)
	}
	for _, c := range regexp.MustCompile(shade).FindAllSubmatch(m[1], -1) {
		var rgb [3]float64
		for i := range rgb {
			rgb[i], err = strconv.ParseFloat(string(c[i+1]), 64)
			must(t, err)
		}
		all = append(all, rgb)
	}
	return all
}
