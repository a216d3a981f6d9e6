//go:build browser

package main

import (
	"testing"

	"github.com/chromedp/chromedp"
)

// four gives the page the spectra of four receivers, ten rows a second each, in the place of those of the station.
const four = `
const Real = WebSocket;
window.WebSocket = class extends Real {
	constructor(...a) {
		super(...a);
		this.addEventListener("message", (m) => {
			if (typeof m.data !== "string") return;
			const e = JSON.parse(m.data);
			if (e.what !== "hello") return;
			const [r] = e.now.receivers;
			e.now.receivers = [0, 1, 2, 3].map((n) => ({ ...r, number: n, name: "receiver " + n }));
			e.now.transmissions = [];
			this.hear({ data: JSON.stringify(e) });
			let row = 0;
			setInterval(() => {
				row++;
				for (let n = 0; n < 4; n++) {
					const b = new Uint8Array(16 + 1024), v = new DataView(b.buffer);
					v.setUint8(0, 1); v.setUint8(1, n); v.setUint16(2, 1024, true); v.setUint32(4, row, true); v.setFloat64(8, Date.parse(e.now.utc) + 100 * row, true);
					for (let i = 16; i < b.length; i++) b[i] = 60 + ((i * 2654435761 + row * 40503 + n) >>> 7) % 40 + (i % 100 < 3 ? 90 : 0);
					this.hear({ data: b.buffer });
				}
			}, 100);
		});
	}
	set onmessage(f) { this.hear = f; }
};
WebSocket.OPEN = Real.OPEN;`

// Four spectrograms run at 1280 pixels, drawn in software, and move in every frame. How many frames a second there are is logged: 60,
// where the machine allows it.
func TestFrames(t *testing.T) {
	v := tab(t, screen{"desktop", 1280, 1600}, false)
	v.do(media("light", "no-preference"))
	v.begin(four)
	v.do(chromedp.Navigate(station + "/"))
	v.until(`document.querySelectorAll("main .running canvas").length === 4`)
	value[bool](v, `(() => { const s = document.querySelector(".now-head select"); s.value = "Fast"; return s.dispatchEvent(new Event("change")); })()`) // a sixth of a pixel a frame
	got := value[struct{ Frames, Late, Moves float64 }](v, `new Promise((done) => setTimeout(() => {
		const seconds = 5, canvas = document.querySelector("main .running canvas");
		const began = performance.now();
		let frames = 0, late = 0, moves = 0, last = began, was = "";
		requestAnimationFrame(function frame() {
			const now = performance.now();
			frames++;
			if (now - last > 25) late++;
			last = now;
			if (canvas.style.transform !== was) moves++;
			was = canvas.style.transform;
			if (now - began < 1000 * seconds) return requestAnimationFrame(frame);
			done({ Frames: frames / seconds, Late: late, Moves: moves / seconds });
		});
	}, 2000))`)
	t.Logf("%.1f frames a second, the picture moved in %.1f of them; %.0f came late", got.Frames, got.Moves, got.Late)
	if got.Moves < 0.8*got.Frames {
		t.Error("the picture does not move in every frame")
	}
}

// Who asked the system for less motion sees pictures that move by whole lines, when one comes, and nothing that is animated.
func TestReducedMotion(t *testing.T) {
	v := tab(t, screens[0], false) // which asks for it
	v.begin(four)
	v.do(chromedp.Navigate(station + "/"))
	v.until(`document.querySelectorAll("main .running canvas").length === 4`)
	between := value[int](v, `new Promise((done) => {
		const canvas = document.querySelector("main .running canvas"), until = performance.now() + 2000;
		let between = 0;
		requestAnimationFrame(function frame(now) {
			if (parseFloat(canvas.style.transform.slice("translateY(".length)) % 1) between++;
			now < until ? requestAnimationFrame(frame) : done(between);
		});
	})`)
	if between > 0 {
		t.Errorf("in %d frames the picture is between two lines", between)
	}
	for _, w := range views {
		v.open(w.path)
		v.until(w.ready)
		if n := value[int](v, `document.getAnimations().length`); n > 0 {
			t.Errorf("%s: %d animations run", w.name, n)
		}
	}
}
