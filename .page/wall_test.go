//go:build browser

package main

import (
	"testing"

	"github.com/chromedp/chromedp"
)

// many answers for a station that has 100 000 charts: a page of them by key, from the newest on.
const many = `
const all = 100_000, asked = window.fetch;
window.requests = 0;
const chart = (n) => ({ chart: n, transmission: n, title: "Surface analysis " + (n % 30), begin_utc: new Date(Date.UTC(2026, 2, 4) - (all - n) * 600_000).toISOString(), end_utc: new Date(Date.UTC(2026, 2, 4)).toISOString(),
	receiver: "harbour", hz: 3855000, on_air: true, quality: (n % 100) / 100, rating: 0, favourite: false, width: 1810, height: 600, lpm: 120, ioc: 576, snr_db: 10, versions: 1 });
window.fetch = (u, ...rest) => {
	const url = new URL(u, location.href);
	if (url.pathname !== "/api/charts") return asked(u, ...rest);
	window.requests++;
	const before = Number(url.searchParams.get("before") ?? all + 1), limit = Number(url.searchParams.get("limit"));
	const charts = [];
	for (let n = before - 1; n > 0 && charts.length < limit; n--) charts.push(chart(n));
	return Promise.resolve(new Response(JSON.stringify({ charts, total: all, next: charts.length && charts.at(-1).chart > 1 ? String(charts.at(-1).chart) : undefined }), { headers: { "Content-Type": "application/json" } }));
};
// Pictures are those of no station: they are not what is measured here.
Object.defineProperty(HTMLImageElement.prototype, "src", { set() {}, get() { return ""; } });
const set = Element.prototype.setAttribute;
Element.prototype.setAttribute = function (name, value) { if (this instanceof HTMLImageElement && name === "src") return; set.call(this, name, value); };`

// The wall of 100 000 charts loads as one scrolls, keeps only what is on the screen and about it, and is not slower at its end.
func TestWallOfMany(t *testing.T) {
	v := tab(t, screens[0], false)
	v.begin(many)
	v.open("/charts?by=time")
	v.until(`document.querySelectorAll(".chart-card").length > 10`)
	state := value[string](v, `document.querySelector(".wall-state").textContent`)
	if state != "100,000 charts, the newest first." {
		t.Errorf("it says %q", state)
	}
	// scrolls goes down so many screens, one a frame, and tells how long the page's own work took in the mean, in ms.
	const scrolls = `window.scrolls = async (n) => {
		let sum = 0;
		for (let i = 0; i < n; i++) {
			await new Promise((r) => requestAnimationFrame(r));
			const began = performance.now();
			scrollBy(0, 700);
			dispatchEvent(new Event("scroll"));
			document.body.offsetHeight;
			await new Promise((r) => requestAnimationFrame(() => setTimeout(r)));
			sum += performance.now() - began;
		}
		return sum / n;
	}`
	value[bool](v, `(() => { `+scrolls+`; return true; })()`)
	first := value[float64](v, `scrolls(40)`)
	elements := value[int](v, `document.querySelectorAll("*").length`)
	loaded := value[float64](v, `(async () => {
		const began = performance.now();
		let was = -1;
		for (;;) {
			scrollTo(0, document.documentElement.scrollHeight);
			await new Promise((r) => requestAnimationFrame(() => setTimeout(r)));
			const last = [...document.querySelectorAll(".chart-card")].at(-1)?.getAttribute("aria-posinset");
			if (last === "100000") return (performance.now() - began) / 1000;
			if (performance.now() - began > 90_000) throw new Error("it came to chart " + last);
		}
	})()`)
	v.press("ArrowUp")
	value[bool](v, `(() => { scrollBy(0, -40 * 700); return true; })()`)
	last := value[float64](v, `scrolls(40)`)
	now := value[int](v, `document.querySelectorAll("*").length`)
	t.Logf("a screen takes %.1f ms at the beginning and %.1f ms at the end, to which it is %.0f s; there are %d and %d elements, %d requests", first, last, loaded, elements, now, value[int](v, `requests`))
	if now > 2*elements || last > 3*first+20 {
		t.Error("many charts make it slower")
	}
}

// The wall is filtered by its fields, which stand in the address; back takes a filter away again.
func TestFilters(t *testing.T) {
	v := tab(t, screens[0], false)
	v.open("/charts?by=time")
	cards := `document.querySelectorAll(".chart-card").length`
	v.until(cards + ` >= 6`)
	all := value[int](v, cards)
	v.put("Quality", "0.83")
	v.until(`location.search.includes("least_quality=0.83") && ` + cards + ` > 0`)
	if good := value[int](v, cards); good >= all { // the ice chart is poor
		t.Errorf("of %d charts %d are good", all, good)
	}
	v.put("Receiver", "ridge") // which hears texts alone
	v.until(`location.search.includes("receiver=ridge") && document.querySelector(".wall-state").textContent.startsWith("No chart is like that.")`)
	v.do(chromedp.NavigateBack())
	v.until(`!location.search.includes("receiver") && ` + cards + ` > 0`)
	v.open("/charts?by=time")
	v.until(cards + ` >= 6`)
	v.put("Title", surface)
	v.until(`document.querySelector("h1").textContent === ` + quoted(surface) + ` && ` + cards + ` >= 3`)
	v.put("To day (UTC)", "2026-03-01")
	v.until(`location.search.includes("to_utc=2026-03-02") && ` + cards + ` === 0`)
	v.open("/charts?by=time&least_rating=5")
	v.until(`document.querySelector(".wall-state").textContent.startsWith("No chart is like that.")`)
}
