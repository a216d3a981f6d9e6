//go:build browser

package main

import (
	_ "embed"
	"encoding/json"
	"fmt"
	"testing"

	"github.com/chromedp/chromedp"
)

//go:embed testdata/axe-4.14.1.min.js
var axe string

// view is one that every test of looks visits. ready says when it shows what the invented day had.
type view struct {
	name, path, ready string
	moves             bool // it shows what comes, so that no picture of it is like another
}

var views = []view{
	{name: "now", path: "/", ready: `document.querySelectorAll("main canvas").length >= 2`, moves: true},
	{name: "day", path: "/day/2026-03-04", ready: `document.querySelectorAll("main a[href^='/chart/'], main a[href^='/text/']").length >= 5`},
	{name: "charts", path: "/charts?to_utc=2026-03-05T00:05:00Z", ready: `[...document.querySelectorAll("main img")].filter(i => i.complete && i.naturalWidth).length >= 4`},
	{name: "texts", path: "/texts?words=gale&to_utc=2026-03-05T00:05:00Z", ready: `document.querySelectorAll("main mark").length >= 2`},
	{name: "viewer", path: "/chart/CHART", ready: `document.querySelector("main canvas") && !document.querySelector(".waiting") && document.querySelector(".chart-legend")`},
	{name: "text", path: "/text/TEXT", ready: `document.querySelectorAll(".text-line").length > 2`},
	{name: "alerts", path: "/alerts", ready: `document.querySelector("main").innerText.includes("gale")`, moves: true},
	{name: "station", path: "/station", ready: `document.querySelector("main").innerText.includes("harbour")`, moves: true},
	{name: "band", path: "/band?from_utc=2026-02-20T00:00:00Z&to_utc=2026-03-05T00:05:00Z", ready: `document.querySelectorAll("main td").length > 20`},
}

// Every view shows itself on a desk and on a phone, by day and by night, without a complaint of the browser, without a violation of
// the rules of accessibility (axe-core, WCAG 2.2 A and AA and its best practices), and never wider than the screen.
func TestViews(t *testing.T) {
	for _, w := range views {
		for _, size := range screens {
			for _, dark := range []bool{false, true} {
				t.Run(fmt.Sprint(w.name, "/", size.name, "/", shade(dark)), func(t *testing.T) {
					v := tab(t, size, dark)
					v.open(w.path)
					v.until(w.ready)
					if wide := value[int64](v, `document.documentElement.scrollWidth`); wide > size.width {
						t.Errorf("the page is %d pixels wide", wide)
					}
					for _, violation := range v.violations() {
						t.Error(violation)
					}
					v.compare(w.name+"-"+size.name+"-"+shade(dark), !w.moves)
				})
			}
		}
	}
}

// Nothing is wider than the screen on the narrowest phone, a tablet, and a screen of 4K, whose width is used.
func TestWidths(t *testing.T) {
	for _, size := range []screen{{"narrow", 320, 600}, {"tablet", 768, 1024}, {"4K", 3840, 2160}} {
		v := tab(t, size, false)
		for _, w := range views {
			v.open(w.path)
			v.until(w.ready)
			if wide := value[int64](v, `document.documentElement.scrollWidth`); wide > size.width {
				t.Errorf("%s is %d pixels wide on %d", w.name, wide, size.width)
			}
			if used := value[float64](v, `document.querySelector("main").getBoundingClientRect().width`); used < 0.6*float64(size.width) {
				t.Errorf("%s uses %.0f pixels of %d", w.name, used, size.width)
			}
		}
	}
}

// The tools of the viewer and the dialogs have no violation of the rules of accessibility either, in both schemes of colours.
func TestAccessibleTools(t *testing.T) {
	for _, size := range screens {
		for _, dark := range []bool{false, true} {
			v := tab(t, size, dark)
			for _, tool := range []string{"compare", "film", "lean"} {
				v.open("/chart/CHART?tool=" + tool)
				v.drawn()
				v.until(`document.querySelector(".chart-tool").childElementCount > 0`)
				for _, violation := range v.violations() {
					t.Errorf("%s, %s, %s: %s", tool, size.name, shade(dark), violation)
				}
			}
			v.press("?")
			v.until(`document.querySelector("dialog[open]")`)
			for _, violation := range v.violations() {
				t.Errorf("shortcuts, %s, %s: %s", size.name, shade(dark), violation)
			}
		}
	}
}

func shade(dark bool) string {
	if dark {
		return "dark"
	}
	return "light"
}

// violations are those that axe-core finds.
func (v *visitor) violations() (all []string) {
	v.Helper()
	v.do(chromedp.Evaluate[chromedp.Void](axe, chromedp.EvalIgnoreExceptions))
	found := value[string](v, `axe.run(document, {resultTypes: ["violations"]}).then((r) => JSON.stringify(r.violations.map((x) =>
		({id: x.id, help: x.help, nodes: x.nodes.slice(0, 3).map((n) => n.html.slice(0, 200) + " " + (n.any[0]?.message ?? ""))}))))`)
	var list []struct {
		ID, Help string
		Nodes    []string
	}
	if err := json.Unmarshal([]byte(found), &list); err != nil {
		v.Fatal(err)
	}
	for _, x := range list {
		all = append(all, fmt.Sprintf("%s: %s: %q", x.ID, x.Help, x.Nodes))
	}
	return all
}
