//go:build browser

package main

import (
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// The invented day shows what was expected, what came and how well, what was missed, and when nothing was heard. Days follow by key and
// by date; a mark opens by click and by key.
func TestDay(t *testing.T) {
	v := tab(t, screens[0], false)
	v.open("/day")
	v.until(`document.querySelector("h1").textContent === "Thursday, 5 March 2026"`) // today is that of the station
	v.press("[")
	v.until(`location.pathname === "/day/2026-03-04" && document.querySelectorAll(".day-mark").length > 8 && document.querySelector(".day-attention li")`)
	for what, selector := range map[string]string{
		"came and filled by quality": ".day-mark.filled.fill-5", "a poor copy": ".day-mark.expected-poor.filled", "a missed broadcast": ".day-mark.expected-missed:not(.filled)",
		"a gap": ".day-gap", "on no programme": ".day-mark.unexpected, .day-mark.several", "what needs attention": ".day-attention li",
	} {
		t.Log(what)
		v.until(`document.querySelector("` + selector + `")`)
	}
	if n := value[int](v, `document.querySelectorAll(".day-lane").length`); n != 2 {
		t.Errorf("there are %d lanes", n)
	}
	x, y := v.middle(".day-mark.filled")
	v.do(chromedp.MouseClickXY(x, y))
	v.until(`/^\/(chart|text)\//.test(location.pathname) && document.querySelector("main h1")`)
	v.do(chromedp.NavigateBack())
	v.until(`location.pathname === "/day/2026-03-04" && document.querySelector(".day-mark")`)
	v.press("m")
	v.until(`document.activeElement.closest(".day-marks")`)
	was := value[string](v, `document.activeElement.ariaLabel`)
	v.press(kb.ArrowRight)
	v.until(`document.activeElement.ariaLabel !== ` + quoted(was))
	if told := value[string](v, `document.querySelector(".day-reading").textContent`); told != value[string](v, `document.activeElement.ariaLabel`) {
		t.Errorf("of the mark is told %q", told)
	}
	v.press(kb.ArrowDown)
	v.press(kb.Enter)
	v.until(`location.pathname !== "/day/2026-03-04"`)
	v.do(chromedp.NavigateBack())
	v.until(`location.pathname === "/day/2026-03-04" && document.querySelector(".day-mark")`)
	value[bool](v, `(() => { const f = document.querySelector("#day-date"); f.value = "2026-03-02"; return f.dispatchEvent(new Event("change")); })()`)
	v.until(`location.pathname === "/day/2026-03-02" && document.querySelector("h1").textContent === "Monday, 2 March 2026"`)
	v.press("0")
	v.until(`location.pathname === "/day" && document.querySelector("h1").textContent === "Thursday, 5 March 2026"`)
}

// Times are UTC, and a <time> tells the local one when somebody points at it.
func TestLocalTime(t *testing.T) {
	v := tab(t, screens[0], false)
	v.open("/chart/CHART")
	v.until(`document.querySelector("h1 time")`)
	if shown := value[string](v, `document.querySelector("h1 time").textContent`); shown[len(shown)-1] != 'Z' {
		t.Errorf("the time is %q", shown)
	}
	x, y := v.middle("h1 time")
	v.do(chromedp.MouseEvent("mouseMoved", x, y))
	v.until(`document.querySelector("h1 time").title.endsWith("local time")`)
}
