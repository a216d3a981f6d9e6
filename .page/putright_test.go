//go:build browser

package main

import (
	"fmt"
	"image"
	"image/png"
	"math"
	"net/http"
	"testing"

	"github.com/chromedp/chromedp"
)

// The wind chart of the invented day was joined late: its line start is wrong, and it leans. Dragging puts it right: the seam
// between the end of a line and its beginning goes to the edge, and stands upright. It is saved as a new version, and the one before
// is kept.
func TestPutRight(t *testing.T) {
	v := tab(t, screens[0], false)
	chart := chartOf(t, "Wind chart, Velmar Bight")
	before := picture(t, chart)
	top, bottom := seam(before, 0, 0.25), seam(before, 0.75, 1)
	if top.strength < 4 || top.x < 30 {
		t.Fatalf("the picture has no seam to be put right: %+v", top)
	}
	v.open(fmt.Sprintf("/chart/%d?tool=lean", chart))
	v.until(`document.querySelector("main canvas") && document.querySelector("main").innerText.includes("Put right by hand")`)
	v.until(`!document.querySelector(".waiting")`)
	v.compare("chart-desktop-light", false)

	// The lean: at the bottom, by as much as the seam leans over the whole picture.
	lean := (bottom.x - top.x) / 0.75
	v.drag(before.Bounds(), 0.95, -lean*0.95)
	// The line start: as far as the seam is from the edge.
	v.press("s")
	v.drag(before.Bounds(), 0.5, -(top.x - lean*0.125))
	v.until(`document.querySelector("main").innerText.includes("without restoration")`)
	ms := value[[]float64](v, `performance.getEntriesByType("resource").filter((e) => e.name.includes("/preview")).map((e) => e.duration)`)
	t.Logf("previews while dragging took %.0f ms", ms)
	v.click("Save as a new version")
	v.until(fmt.Sprintf(`location.pathname.startsWith("/chart/") && location.pathname !== "/chart/%d"`, chart))
	var saved int64
	if _, err := fmt.Sscanf(value[string](v, `location.pathname`), "/chart/%d", &saved); err != nil {
		t.Fatal(err)
	}
	after := picture(t, saved)
	inside := seam(crop(after, 30), 0, 1)
	t.Logf("seam before at %.0f to %.0f, %.1f times as strong as other columns; afterwards the strongest inside is %.1f", top.x, bottom.x, top.strength, inside.strength)
	if inside.strength > 0.6*top.strength { // the strokes of the chart are 0.54 as strong
		t.Errorf("the seam is still inside: %+v", inside)
	}
	var d struct {
		VersionList []struct{ Chart int64 } `json:"version_list"`
	}
	ask(fmt.Sprintf("/api/charts/%d", saved), &d)
	if len(d.VersionList) != 2 {
		t.Errorf("versions: %+v", d.VersionList)
	}
	picture(t, chart) // the earlier one is there still
}

// chartOf is the number of the chart with a title.
func chartOf(t *testing.T, title string) int64 {
	t.Helper()
	var wall struct {
		Charts []struct {
			Chart int64
			Title string
		}
	}
	ask("/api/charts?limit=100", &wall)
	for _, c := range wall.Charts {
		if c.Title == title {
			return c.Chart
		}
	}
	t.Fatalf("there is no chart %q", title)
	return 0
}

func picture(t *testing.T, chart int64) *image.Gray {
	t.Helper()
	r, err := http.Get(fmt.Sprintf("%s/api/charts/%d/picture", station, chart))
	if err != nil {
		t.Fatal(err)
	}
	defer r.Body.Close()
	m, err := png.Decode(r.Body)
	if err != nil {
		t.Fatal(err)
	}
	return m.(*image.Gray)
}

// edge is where brightness changes most between two columns.
type edge struct{ x, strength float64 }

// seam finds the strongest edge in a part of the rows: its strength is over that of the column in the mean.
func seam(m *image.Gray, from, to float64) edge {
	b := m.Bounds()
	best, sum := edge{}, 0.0
	for x := b.Min.X + 1; x < b.Max.X; x++ {
		s := 0.0
		for y := b.Min.Y + int(from*float64(b.Dy())); y < b.Min.Y+int(to*float64(b.Dy())); y++ {
			s += math.Abs(float64(m.GrayAt(x, y).Y) - float64(m.GrayAt(x-1, y).Y))
		}
		sum += s
		if s > best.strength {
			best = edge{float64(x - b.Min.X), s}
		}
	}
	best.strength /= sum / float64(b.Dx()-1)
	return best
}

func crop(m *image.Gray, edge int) *image.Gray {
	b := m.Bounds()
	return m.SubImage(image.Rect(b.Min.X+edge, b.Min.Y, b.Max.X-edge, b.Max.Y)).(*image.Gray)
}

// drag drags the chart at a height, 0 to 1, by pixels of the picture.
func (v *visitor) drag(picture image.Rectangle, height, pixels float64) {
	v.Helper()
	r := value[[]float64](v, `(() => { const r = document.querySelector("main canvas").getBoundingClientRect(); return [r.left, r.top, r.width, r.height]; })()`)
	scale := r[2] / float64(picture.Dx()) // the chart has the canvas's width
	y := r[1] + min(height*float64(picture.Dy())*scale, r[3]-4)
	x := r[0] + r[2]/2
	v.do(chromedp.DragAndDropXY(x, y, x+pixels*scale, y, 12))
}

// click clicks a button.
func (v *visitor) click(name string) {
	v.Helper()
	v.until(fmt.Sprintf(`[...document.querySelectorAll("button")].some((b) => b.textContent === %q && !b.disabled)`, name))
	value[bool](v, fmt.Sprintf(`[...document.querySelectorAll("button")].find((b) => b.textContent === %q).click() === undefined`, name))
}
