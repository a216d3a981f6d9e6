//go:build browser

package main

import (
	"context"
	"sync/atomic"
	"testing"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/chromedp"
)

// The first load, with all that the first view needs, is small.
func TestFirstLoad(t *testing.T) {
	const most = 85_000 // bytes, as they are sent; 76 000 are reached
	for _, w := range views {
		v := tab(t, screens[0], false)
		var sent atomic.Int64
		if err := chromedp.Listen(v.ctx, func(e any) {
			if e, ok := e.(*network.EventLoadingFinished); ok {
				sent.Add(int64(e.EncodedDataLength))
			}
		}); err != nil {
			t.Fatal(err)
		}
		v.do(chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
			if _, err := cdp.Call(ctx, t, network.Enable, network.EnableParams{}); err != nil {
				return err
			}
			_, err := cdp.Call(ctx, t, network.SetCacheDisabled, network.SetCacheDisabledParams{CacheDisabled: true})
			return err
		}))
		v.open(w.path)
		v.until(w.ready)
		code := value[int64](v, `performance.getEntriesByType("resource").filter(e => !e.name.includes("/api/")).reduce((n, e) => n + e.encodedBodySize, performance.getEntriesByType("navigation")[0].encodedBodySize)`)
		t.Logf("%s: %d bytes of page, %d in all", w.name, code, sent.Load())
		if code == 0 || code > most {
			t.Errorf("%s: the page is %d bytes", w.name, code)
		}
	}
}

// Every view marks when it can be used. How soon that is on a computer that is six times slower than this one is logged: it should
// be a second. Nothing else is asked of the page meanwhile, since answers take its time too.
func TestSlowComputer(t *testing.T) {
	for _, w := range views {
		t.Run(w.name, func(t *testing.T) {
			v := tab(t, screens[0], false)
			v.do(chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
				_, err := cdp.Call(ctx, t, emulation.SetCPUThrottlingRate, emulation.SetCPUThrottlingRateParams{Rate: 6})
				return err
			}))
			v.do(chromedp.Navigate(station + w.path))
			ms := value[float64](v, `new Promise((done) => new PerformanceObserver((l) => {
				for (const m of l.getEntriesByName("interactive")) done(m.startTime);
			}).observe({type: "mark", buffered: true}))`)
			t.Logf("it can be used after %.0f ms", ms)
		})
	}
}
