//go:build browser

package main

import (
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// Every view has an address: the keys g and a letter lead there, and back leads back.
func TestAddresses(t *testing.T) {
	v := tab(t, screens[0], false)
	v.open("/")
	for _, k := range []struct{ key, path string }{{"d", "/day"}, {"c", "/charts"}, {"t", "/texts"}, {"l", "/alerts"}, {"s", "/station"}, {"b", "/band"}, {"n", "/"}} {
		v.press("g")
		v.press(k.key)
		v.until(`location.pathname === "` + k.path + `" && document.querySelector("main h1")`)
	}
	v.do(chromedp.NavigateBack())
	v.until(`location.pathname === "/band" && document.querySelector("nav [aria-current]").textContent === "Band"`)
	v.do(chromedp.NavigateBack())
	v.until(`location.pathname === "/station"`)
	v.press("?")
	v.until(`document.querySelector("dialog[open]").innerText.includes("Charts")`)
	v.press(kb.Escape)
	v.until(`!document.querySelector("dialog")`)
}

// Texts are printed as they come, outlines are named, and the spectrogram runs.
func TestNow(t *testing.T) {
	v := tab(t, screens[0], false)
	v.open("/")
	v.until(`document.querySelector("main").innerText.includes("harbour") && document.querySelector("main").innerText.includes("ridge")`)
	v.until(`/GALE|TRAFFIC|BULLETIN|CQ CQ/.test(document.querySelector("main").textContent)`)
	v.until(`/rtty|cw/.test(document.querySelector("main").innerText)`)
}

// Whatever can be clicked can be reached by key: by Tab, or, among many that are alike, by arrows from the one that Tab comes to. What has
// the focus shows it.
func TestKeyboard(t *testing.T) {
	v := tab(t, screens[0], false)
	for _, w := range views {
		v.open(w.path)
		v.until(w.ready)
		for _, lost := range value[[]string](v, `[...document.querySelectorAll("a[href], button, input, select, textarea, summary, [role=button]")]
			.filter((e) => e.checkVisibility() && !e.disabled && e.tabIndex < 0 && !e.parentElement.closest(".day, .band")?.querySelector("[tabindex='0']"))
			.map((e) => e.outerHTML.slice(0, 120))`) {
			t.Errorf("%s: no key comes to %s", w.name, lost)
		}
		value[bool](v, `document.activeElement.blur() === undefined`)
		seen := map[string]bool{}
		for range 12 {
			v.press(kb.Tab)
			look := value[[]string](v, `(() => { const e = document.activeElement, s = getComputedStyle(e); return [e.outerHTML.slice(0, 200), s.outlineStyle + " " + s.outlineWidth, s.boxShadow]; })()`)
			if look[1] == "none 0px" && look[2] == "none" {
				t.Errorf("%s: nothing shows that the focus is on %s", w.name, look[0])
			}
			seen[look[0]] = true
		}
		if len(seen) < 8 {
			t.Errorf("%s: Tab comes to %d places", w.name, len(seen))
		}
	}
}
