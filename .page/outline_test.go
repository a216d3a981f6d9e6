//go:build browser

package main

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// middle is where an element is on the screen.
func (v *visitor) middle(selector string) (x, y float64) {
	v.Helper()
	v.until(fmt.Sprintf(`document.querySelector(%q)`, selector))
	at := value[[]float64](v, fmt.Sprintf(`(() => { const e = document.querySelector(%q); e.scrollIntoView({ block: "center" }); const r = e.getBoundingClientRect(); return [r.left + r.width / 2, r.top + r.height / 2]; })()`, selector))
	return at[0], at[1]
}

// A click on an outline opens its panel: its settings, its text, and its sound, of its passband alone. It is closed by key, and the
// focus is where it was.
func TestOutline(t *testing.T) {
	v := tab(t, screens[0], false)
	v.begin(`
		window.sounds = [];
		window.played = 0;
		const start = AudioBufferSourceNode.prototype.start;
		AudioBufferSourceNode.prototype.start = function (...a) { window.played += this.buffer.duration; return start.apply(this, a); };
		const asked = window.fetch;
		window.fetch = (u, ...rest) => { if (String(u).includes("/sound")) window.sounds.push(String(u)); return asked(u, ...rest); };`)
	v.open("/")
	const outline = ".outline:not(.past)"
	v.until(`document.querySelector("main .running canvas")`)
	x, y := v.middle(outline)
	v.do(chromedp.MouseClickXY(x, y))
	v.until(`document.querySelector(".panel:not([hidden])")`)
	v.until(`/Receiver|Frequency/.test(document.querySelector(".panel").innerText) && document.querySelector(".panel .facts").innerText.includes("kHz")`)
	for _, violation := range v.violations() {
		t.Error(violation)
	}
	x, y = v.middle(".panel .bar button")
	v.do(chromedp.MouseClickXY(x, y))
	v.until(`document.querySelector(".listening:not([hidden])")`)
	v.until(`window.played > 1`)
	if asked := value[string](v, `window.sounds.join(" ")`); !value[bool](v, `/low_hz=\d+.*high_hz=\d+/.test(window.sounds[0])`) {
		t.Errorf("sound was asked for by %s", asked)
	}
	v.do(chromedp.MouseClickXY(x, y))
	v.until(`document.querySelector(".listening[hidden]")`)
	v.press(kb.Escape)
	v.until(`document.querySelector(".panel[hidden]")`)
	if !value[bool](v, `document.activeElement.closest(".strip") !== null`) {
		t.Error("the focus is lost")
	}
}

// say has the page hear messages that its station did not say.
const say = `
const Real = WebSocket;
window.WebSocket = class extends Real {
	constructor(...a) { super(...a); window.station = this; this.addEventListener("message", (m) => this.hear(m)); }
	set onmessage(f) { this.hear = f; }
};
WebSocket.OPEN = Real.OPEN;
let number = Date.now() * 2;
window.say = (e) => window.station.hear({ data: JSON.stringify({ number: ++number, ...e }) });
window.line = (id, row, pixels) => {
	const b = new Uint8Array(16 + pixels.length), v = new DataView(b.buffer);
	v.setUint8(0, 2); v.setUint16(2, pixels.length, true); v.setUint32(4, row, true); v.setFloat64(8, id, true);
	b.set(pixels, 16);
	window.station.hear({ data: b.buffer });
};`

// A chart grows line by line as it is sent, raw, and is replaced by the restored one when that is there.
func TestChartGrows(t *testing.T) {
	v := tab(t, screens[0], false)
	v.begin(say)
	v.open("/")
	v.until(`document.querySelector("main .running canvas")`)
	value[bool](v, `(() => {
		const utc = new Date().toISOString();
		say({ what: "began", transmission: { transmission: 9e6, receiver: "ridge", mode: "fax", state: "arriving", begin_utc: utc, end_utc: utc, on_air: true, hz: 7646000, low_hz: 7645500, high_hz: 7646500, snr_db: 10, quality: 0, settings: "a chart of the test", text: [] } });
		for (let y = 0; y < 40; y++) line(9e6, y, new Uint8Array(1810).map((_, x) => (x < 905 ? 0 : 255)));
		return true;
	})()`)
	slip := `[...document.querySelectorAll(".slip")].find((s) => s.innerText.includes("a chart of the test"))`
	v.until(slip)
	high := func() int64 {
		return value[int64](v, `Number(`+slip+`.querySelector(".drawing").style.getPropertyValue("--high"))`)
	}
	was := high()
	value[bool](v, `(() => { for (let y = 40; y < 120; y++) line(9e6, y, new Uint8Array(1810).map((_, x) => (x < 905 ? 0 : 255))); return true; })()`)
	if now := high(); was < 10 || now < 2*was {
		t.Errorf("it is %d high, and was %d", now, was)
	}
	shades := value[[]int64](v, `(() => { const c = `+slip+`.querySelector("canvas"), d = c.getContext("2d").getImageData(0, 20, c.width, 1).data; return [d[c.width - c.width % 4], d[3 * (c.width - c.width % 4)]]; })()`)
	if shades[0] > 20 || shades[1] < 235 {
		t.Errorf("a black half and a white one are %v", shades)
	}
	value[bool](v, fmt.Sprintf(`(() => { say({ what: "drawing", id: 9e6 }); say({ what: "chart", id: 9e6, chart: %d, title: "a chart of the test", quality: 0.9 }); return true; })()`, chartsOf(t, surface)[0]))
	v.until(slip + `.querySelector(".restored img")?.naturalWidth > 0`)
	v.until(slip + `.querySelector(".restored a").pathname.startsWith("/chart/")`)
}

// What a character's confidence is shows twice: it is paler, and underlined the more the less it is sure.
func TestDoubt(t *testing.T) {
	v := tab(t, screens[0], false)
	v.begin(say)
	v.open("/")
	v.until(`document.querySelector("main .running canvas")`)
	value[bool](v, `(() => {
		const utc = new Date().toISOString();
		say({ what: "began", transmission: { transmission: 9e6, receiver: "ridge", mode: "cw", state: "arriving", begin_utc: utc, end_utc: utc, on_air: true, hz: 7646000, snr_db: 10, quality: 0, settings: "a text of the test", text: [] } });
		say({ what: "text", id: 9e6, receiver: "ridge", utc, chars: [["A", 1], ["B", 0.9], ["C", 0.7], ["D", 0.3]] });
		return true;
	})()`)
	looks := value[[]string](v, `(async () => {
		for (let i = 0; i < 50 && !document.querySelector(".sure-0"); i++) await new Promise((r) => setTimeout(r, 100));
		const slip = [...document.querySelectorAll(".slip")].find((s) => s.innerText.includes("a text of the test"));
		return [".sure-2", ".sure-1", ".sure-0"].map((c) => { const s = getComputedStyle(slip.querySelector(c)); return slip.querySelector(c).textContent + " " + s.color + " " + s.textDecorationLine + " " + s.textDecorationStyle + " " + s.borderBottomStyle + " " + s.backgroundImage; });
	})()`)
	t.Logf("%q", looks)
	for i, look := range looks {
		if look[:1] != string("BCD"[i]) || !strings.Contains(look, "underline") {
			t.Errorf("%q should be that of %c, and underlined", look, "BCD"[i])
		}
		for _, other := range looks[:i] {
			if look[2:] == other[2:] {
				t.Errorf("%q is no other look than %q", look, other)
			}
		}
	}
}

// A text arrives on the page within a second of the station's telling, while other pages are open.
func TestTextArrives(t *testing.T) {
	v := tab(t, screens[0], false)
	v.begin(`
		const Real = WebSocket;
		window.late = [];
		window.WebSocket = class extends Real {
			set onmessage(f) {
				super.onmessage = (m) => {
					const text = typeof m.data === "string" && JSON.parse(m.data).what === "text";
					const came = performance.now();
					f(m);
					if (text) requestAnimationFrame(() => setTimeout(() => window.late.push(performance.now() - came)));
				};
			}
		};
		WebSocket.OPEN = Real.OPEN;`)
	v.open("/")
	v.until(`window.late.length >= 5`)
	late := value[[]float64](v, `window.late`)
	most := 0.0
	for _, ms := range late {
		most = max(most, ms)
	}
	t.Logf("of %d pieces of text the last was on the screen %.0f ms after it came", len(late), most)
	if d := time.Duration(most) * time.Millisecond; d > time.Second {
		t.Errorf("a text took %v", d)
	}
}
