//go:build browser

package main

import (
	"fmt"
	"math"
	"net/http"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// chartsOf are the numbers of the charts of a title, the newest first.
func chartsOf(t *testing.T, title string) (all []int64) {
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
			all = append(all, c.Chart)
		}
	}
	if len(all) == 0 {
		t.Fatalf("there is no chart %q", title)
	}
	return all
}

// received is the version of a chart as it was received.
func received(chart int64) int64 {
	var d struct {
		VersionList []struct{ Chart int64 } `json:"version_list"`
	}
	ask(fmt.Sprintf("/api/charts/%d", chart), &d)
	return d.VersionList[0].Chart
}

const surface = "Surface analysis, Ostrel Sea"

// viewer opens a chart, and waits until it is on the screen.
func (v *visitor) viewer(chart int64, rest string) {
	v.Helper()
	v.open(fmt.Sprintf("/chart/%d%s", chart, rest))
	v.drawn()
}

func (v *visitor) drawn() {
	v.Helper()
	v.until(`document.querySelector("main canvas") && !document.querySelector(".waiting")`)
}

// zoom is what the address says of it; 0: the chart has the screen's width.
func (v *visitor) zoom() float64 {
	v.Helper()
	value[bool](v, `new Promise((done) => setTimeout(() => done(true), 500))`) // until the address is written
	return value[float64](v, `Number(new URLSearchParams(location.search).get("zoom"))`)
}

// A chart is moved and zoomed by mouse, keys and fingers, to single pixels, and the address says what is on the screen.
func TestViewerMoves(t *testing.T) {
	v := tab(t, screens[0], false)
	v.viewer(chartsOf(t, surface)[0], "")
	v.press("z")
	if z := v.zoom(); z != 1 {
		t.Errorf("pixel by pixel is a zoom of %v", z)
	}
	v.press("+")
	larger := v.zoom()
	if larger <= 1 {
		t.Errorf("+ makes it %v", larger)
	}
	at := value[string](v, `new URLSearchParams(location.search).get("at")`)
	v.do(chromedp.DragAndDropXY(500, 400, 400, 300, 8))
	v.zoom()
	if now := value[string](v, `new URLSearchParams(location.search).get("at")`); now == at {
		t.Error("a drag does not move it")
	}
	v.do(call(input.DispatchMouseEvent, input.DispatchMouseEventParams{Type: "mouseWheel", X: 500, Y: 400, DeltaX: 0.1, DeltaY: -2400}))
	if z := v.zoom(); z <= larger {
		t.Errorf("the wheel makes it %v, after %v", z, larger)
	}
	v.press("0")
	if z := v.zoom(); z != 0 {
		t.Errorf("0 makes it %v", z)
	}

	p := tab(t, screens[1], false)
	p.do(call(emulation.SetTouchEmulationEnabled, emulation.SetTouchEmulationEnabledParams{Enabled: true}))
	p.viewer(chartsOf(t, surface)[0], "")
	p.pinch(180, 400, 40, 160)
	if z := p.zoom(); z == 0 {
		t.Error("two fingers do not zoom")
	}
}

// pinch puts two fingers on the screen beside a point, and moves them apart.
func (v *visitor) pinch(x, y, from, to float64) {
	v.Helper()
	one, two := 1.0, 2.0
	fingers := func(apart float64) []*input.TouchPoint {
		return []*input.TouchPoint{{X: x - apart/2, Y: y, ID: &one}, {X: x + apart/2, Y: y, ID: &two}}
	}
	v.do(call(input.DispatchTouchEvent, input.DispatchTouchEventParams{Type: "touchStart", TouchPoints: fingers(from)}))
	for i := 1.0; i <= 8; i++ {
		v.do(call(input.DispatchTouchEvent, input.DispatchTouchEventParams{Type: "touchMove", TouchPoints: fingers(from + (to-from)*i/8)}))
	}
	v.do(call(input.DispatchTouchEvent, input.DispatchTouchEventParams{Type: "touchEnd", TouchPoints: []*input.TouchPoint{}}))
}

// shadeAt is the mean brightness of a part of the chart on the screen, in shares of the canvas.
func (v *visitor) shadeAt(x, y, width, height float64) float64 {
	v.Helper()
	return value[float64](v, fmt.Sprintf(`(() => {
		const c = document.querySelector("main canvas"), o = document.createElement("canvas");
		o.width = 64; o.height = 64;
		const g = o.getContext("2d", { willReadFrequently: true });
		g.drawImage(c, c.width * %f, c.height * %f, c.width * %f, c.height * %f, 0, 0, 64, 64);
		const d = g.getImageData(0, 0, 64, 64).data;
		let sum = 0;
		for (let i = 0; i < d.length; i += 4) sum += d[i];
		return sum / 4096;
	})()`, x, y, width, height))
}

// Original and restored are compared by an edge that moves; the charts of a title follow each other by key, and as a film.
func TestCompareAndFilm(t *testing.T) {
	v := tab(t, screens[0], false)
	v.viewer(chartsOf(t, "Ice chart, northern approaches")[0], "")
	restored := v.shadeAt(0.1, 0.3, 0.2, 0.5)
	v.press("c")
	v.until(`location.search.includes("tool=compare") && document.querySelector(".chart-compare")`)
	value[bool](v, `new Promise((done) => setTimeout(() => done(true), 1500))`)
	left := v.shadeAt(0.1, 0.3, 0.2, 0.5)
	if math.Abs(left-restored) < 2 {
		t.Errorf("left of the edge it is %.1f bright, restored %.1f", left, restored)
	}
	value[bool](v, `(() => { const s = document.querySelector(".chart-compare input"); s.value = 2; return s.dispatchEvent(new Event("input", { bubbles: true })); })()`)
	value[bool](v, `new Promise((done) => setTimeout(() => done(true), 300))`)
	if moved := v.shadeAt(0.1, 0.3, 0.2, 0.5); math.Abs(moved-restored) > 2 {
		t.Errorf("right of the edge it is %.1f bright, restored %.1f", moved, restored)
	}
	v.press(kb.Escape)
	v.until(`!location.search.includes("tool")`)

	all := chartsOf(t, surface)
	v.viewer(all[0], "")
	v.press("[")
	v.until(fmt.Sprintf(`location.pathname === "/chart/%d"`, all[1]))
	v.drawn()
	v.press("]")
	v.until(fmt.Sprintf(`location.pathname === "/chart/%d"`, all[0]))
	v.drawn()
	v.press("m")
	v.until(fmt.Sprintf(`document.querySelector(".chart-film")?.innerText.includes("%d charts of this title")`, len(all)))
	when := `document.querySelector(".chart-when").textContent`
	v.until(when)
	was := value[string](v, when)
	v.press(kb.ArrowRight)
	v.until(fmt.Sprintf(`%s !== %q`, when, was))
	v.click("Play")
	v.until(`[...document.querySelectorAll(".chart-film button")].some((b) => b.textContent === "Stop")`)
	was = value[string](v, when)
	v.until(fmt.Sprintf(`%s !== %q`, when, was))
}

// All that is put right by hand is saved as a new version: black and white, levels, restoration, index, lines a minute. What a person
// says of a chart is kept: rating, favourite, notes. It can be had as a file, and printed.
func TestPutRightByFields(t *testing.T) {
	v := tab(t, screens[0], false)
	chart := received(chartsOf(t, "Wave forecast, 24 hours")[0])
	v.viewer(chart, "?tool=move")
	v.until(`document.querySelector(".chart-mend")`)
	paper := v.shadeAt(0.05, 0.05, 0.9, 0.5)
	v.press("i")
	v.until(`document.querySelector(".chart-mend").innerText.includes("without restoration")`)
	value[bool](v, `new Promise((done) => setTimeout(() => done(true), 300))`)
	if ink := v.shadeAt(0.05, 0.05, 0.9, 0.5); ink > paper-60 {
		t.Errorf("swapped it is %.0f bright, and was %.0f", ink, paper)
	}
	v.put("Black, %", "10")
	v.put("White, %", "90")
	v.put("Lines a minute", "60")
	v.put("Index of cooperation", "288")
	v.click("Undo")
	v.until(`document.querySelector(".chart-mend select").value === "576"`)
	v.put("Index of cooperation", "288")
	value[bool](v, `(() => { const l = [...document.querySelectorAll(".chart-mend label")].find((l) => l.textContent === "Restoration"); l.querySelector("input").click(); return true; })()`)
	v.click("Save as a new version")
	v.until(fmt.Sprintf(`location.pathname !== "/chart/%d"`, chart))
	v.drawn()
	var saved int64
	if _, err := fmt.Sscanf(value[string](v, `location.pathname`), "/chart/%d", &saved); err != nil {
		t.Fatal(err)
	}
	var d struct {
		Transmission int64
		LPM, IOC     float64
		Changes      map[string]any
		VersionList  []any `json:"version_list"`
	}
	ask(fmt.Sprintf("/api/charts/%d", saved), &d)
	want := map[string]any{"invert": true, "black": 0.1, "white": 0.9, "lpm": 60.0, "ioc": 288.0, "plain": true}
	for name, w := range want {
		if d.Changes[name] != w {
			t.Errorf("%s is %v instead of %v", name, d.Changes[name], w)
		}
	}
	if d.LPM != 60 || d.IOC != 288 || len(d.VersionList) < 2 {
		t.Errorf("saved was %+v", d)
	}

	v.press("4")
	v.press("f")
	v.until(`document.querySelector("main").innerText.includes("★ Favourite")`)
	v.until(`[...document.querySelectorAll("main button[aria-pressed='true']")].some((b) => b.textContent === "4")`)
	value[bool](v, `(() => { document.querySelector(".chart-said summary").click(); return true; })()`)
	v.put("Note", "the low is deeper than forecast")
	v.click("Keep title and note")
	type said struct {
		Rating    int
		Favourite bool
		Notes     string
	}
	transmission := fmt.Sprintf("/api/transmissions/%d", d.Transmission)
	untilAsked(v, transmission, func(s said) bool { return s == said{4, true, "the low is deeper than forecast"} })
	if name := value[string](v, `(async () => (await fetch([...document.querySelectorAll("main a")].find((a) => a.textContent === "PNG").href)).headers.get("content-disposition") + "")()`); len(name) < 12 {
		t.Errorf("the file is called %q", name)
	}
	v.do(call(emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Media: "print"}))
	if !value[bool](v, `getComputedStyle(document.querySelector(".chart-print")).display !== "none" && document.querySelector(".chart-print img").naturalWidth > 0 && getComputedStyle(document.querySelector("#head")).display === "none"`) {
		t.Error("a print has no chart, or more than that")
	}
	v.do(media("light", "reduce"))

	// It is all taken back, since other tests look at the day as it was.
	v.press("4")
	v.press("f")
	v.put("Note", "")
	v.click("Keep title and note")
	untilAsked(v, transmission, func(s said) bool { return s == said{} })
	if status := value[int](v, fmt.Sprintf(`fetch("/api/charts/%d", { method: "DELETE" }).then((r) => r.status)`, saved)); status != http.StatusNoContent {
		t.Errorf("the version is not deleted: %d", status)
	}
}
