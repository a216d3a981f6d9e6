//go:build browser

package main

import (
	"context"
	"testing"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/heapprofiler"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
)

// soak gives the page what a station tells in a day, as fast as it takes it: messages come from here in the place of the station.
const soak = `
const Real = WebSocket;
const socket = {}; // that of the page: what the station says is heard until the soak begins
let soaking = false;
window.WebSocket = class extends Real {
	constructor(...a) { super(...a); this.addEventListener("message", (m) => soaking || socket.onmessage(m)); }
	set onmessage(f) { socket.onmessage = f; }
};
WebSocket.OPEN = Real.OPEN;
let number = 0, id = 1e6, clock = Date.now(); // ms; two minutes a transmission
const utc = () => new Date(clock).toISOString();
const say = (e) => socket.onmessage({ data: JSON.stringify({ number: (number = number || Date.now()) && ++number, ...e }) });
const pause = () => new Promise((r) => setTimeout(r));
window.hours = async (n) => {
	soaking = true;
	for (let h = 0; h < n; h++) {
		for (let k = 0; k < 30; k++) {
			const t = { transmission: ++id, receiver: k % 2 ? "harbour" : "ridge", mode: k % 3 ? "rtty" : "cw", state: "arriving", begin_utc: utc(), end_utc: utc(), on_air: true, hz: k % 2 ? 3855000 : 7645700 + 20 * k, low_hz: 0, high_hz: 0, snr_db: 10, quality: 0.9, settings: "75 Bd", title: "Soak" };
			t.low_hz = t.hz - 100; t.high_hz = t.hz + 100;
			say({ what: "began", transmission: { ...t, text: [] } });
			for (let i = 0; i < 30; i++) {
				say({ what: "text", id: t.transmission, receiver: t.receiver, utc: utc(), chars: [..."GALE WARNING OSTREL SEA 12\n"].map((c, j) => [c, (j % 10) / 10]) });
				const row = new Uint8Array(16 + 1024), v = new DataView(row.buffer);
				v.setUint8(0, 1); v.setUint8(1, i % 2); v.setUint16(2, 1024, true); v.setUint32(4, number, true); v.setFloat64(8, clock += 4000, true);
				row.fill(100 + i, 16);
				socket.onmessage({ data: row.buffer });
			}
			say({ what: "changed", transmission: t });
			say({ what: "ended", transmission: { ...t, end_utc: utc(), state: "complete" } });
			await pause();
		}
	}
	await new Promise((r) => setTimeout(r, 1000));
};`

// A page that is left open for a day more does not grow: neither its memory nor its elements.
func TestDayOpen(t *testing.T) {
	v := tab(t, screens[0], false)
	v.begin(soak)
	v.open("/")
	v.until(views[0].ready)
	value[bool](v, `hours(8).then(() => true)`) // until all that is bounded is full
	heap, elements := v.size()
	value[bool](v, `hours(24).then(() => true)`)
	heapThen, elementsThen := v.size()
	t.Logf("after 8 hours %.1f MB and %d elements, after 32 hours %.1f MB and %d", heap/1e6, elements, heapThen/1e6, elementsThen)
	if heapThen > 1.2*heap+1e6 || elementsThen > elements+elements/5 {
		t.Error("it grows")
	}
}

// size is how many bytes and elements the page has, when all garbage is gone.
func (v *visitor) size() (bytes float64, elements int) {
	v.Helper()
	v.do(chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		if _, err := cdp.Call(ctx, t, heapprofiler.CollectGarbage, cdp.Empty{}); err != nil {
			return err
		}
		use, err := cdp.Call(ctx, t, runtime.GetHeapUsage, cdp.Empty{})
		bytes = use.UsedSize
		return err
	}))
	return bytes, value[int](v, `document.querySelectorAll("*").length`)
}
