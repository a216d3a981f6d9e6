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
