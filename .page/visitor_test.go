//go:build browser

package main

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	cdplog "github.com/chromedp/cdproto/log"
	cdppage "github.com/chromedp/cdproto/page"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
)

// visitor is a person with a page of the browser.
type visitor struct {
	*testing.T
	ctx context.Context
	end func() // closes the page

	mutex sync.Mutex
	heard []string // what the console said
}

func (v *visitor) do(steps ...chromedp.Action[chromedp.Void]) {
	v.Helper()
	if err := chromedp.Do(v.ctx, steps...); err != nil {
		v.Fatal(err)
	}
}

// open goes to an address, and waits for its heading.
func (v *visitor) open(path string) {
	v.Helper()
	v.do(chromedp.Navigate(station + numbered(path)))
	v.until(`document.querySelector("main h1") !== null`)
}

// numbered puts numbers for CHART and TEXT in an address: those of the last surface analysis and gale bulletin of the invented day. They
// differ, since receivers hear it side by side.
func numbered(path string) string {
	if !strings.Contains(path, "CHART") && !strings.Contains(path, "TEXT") {
		return path
	}
	var wall struct {
		Charts []struct {
			Chart int64
			Title string
		}
	}
	var texts struct {
		Transmissions []struct {
			Transmission int64
			Title        string
		}
	}
	ask("/api/charts?limit=100", &wall)
	ask("/api/transmissions?limit=100&texts=true&words=gale", &texts)
	for _, c := range wall.Charts { // the newest first
		if c.Title == surface {
			path = strings.ReplaceAll(path, "CHART", fmt.Sprint(c.Chart))
			break
		}
	}
	for _, t := range texts.Transmissions {
		if t.Title == "Gale bulletin, Ostrel Sea" {
			path = strings.ReplaceAll(path, "TEXT", fmt.Sprint(t.Transmission))
			break
		}
	}
	return path
}

// until waits for a condition of the page.
func (v *visitor) until(condition string) {
	v.Helper()
	if _, err := chromedp.Run(v.ctx, chromedp.Poll[bool]("Boolean("+condition+")", chromedp.WithPollingInterval(100*time.Millisecond), chromedp.WithPollingTimeout(40*time.Second))); err != nil {
		text, _ := chromedp.Run(v.ctx, chromedp.Evaluate[string]("document.body.innerText.slice(0, 1500)"))
		v.Fatalf("%s does not come true: %v; the page says:\n%s", condition, err, text)
	}
}

// value evaluates an expression in the page.
func value[T any](v *visitor, expression string) T {
	v.Helper()
	x, err := chromedp.Run(v.ctx, chromedp.Evaluate[T](expression, chromedp.EvalAwaitPromise))
	if err != nil {
		v.Fatalf("%s: %v", expression, err)
	}
	return x
}

// put puts something into the field of a name, as somebody who types and leaves it.
func (v *visitor) put(label, text string) {
	v.Helper()
	v.until(fmt.Sprintf(`[...document.querySelectorAll("label")].some((l) => l.innerText.trim().startsWith(%q))`, label))
	value[bool](v, fmt.Sprintf(`(() => {
		const l = [...document.querySelectorAll("label")].find((l) => l.innerText.trim().startsWith(%q));
		const e = l.querySelector("input, select, textarea") ?? document.getElementById(l.htmlFor);
		e.value = %q;
		for (const kind of ["input", "change"]) e.dispatchEvent(new Event(kind, { bubbles: true }));
		return true;
	})()`, label, text))
}

// untilAsked asks the station until an answer is as it is to be.
func untilAsked[T any](v *visitor, path string, is func(T) bool) {
	v.Helper()
	for deadline := time.Now().Add(20 * time.Second); ; time.Sleep(200 * time.Millisecond) {
		var answer T
		ask(path, &answer)
		if is(answer) {
			return
		}
		if time.Now().After(deadline) {
			v.Fatalf("%s says %+v", path, answer)
		}
	}
}

func (v *visitor) press(keys string) {
	v.Helper()
	v.do(chromedp.KeyEvent(keys))
}

// call is a command to the browser whose answer does not matter.
func call[P, R any](c cdp.Command[P, R], params P) chromedp.Action[chromedp.Void] {
	return chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		_, err := cdp.Call(ctx, t, c, params)
		return err
	})
}

// begin has every page that is opened next run a script first.
func (v *visitor) begin(script string) {
	v.Helper()
	v.do(call(cdppage.AddScriptToEvaluateOnNewDocument, cdppage.AddScriptToEvaluateOnNewDocumentParams{Source: script}))
}

// media is what the page is told of the system: colours, and motion.
func media(scheme, motion string) chromedp.Action[chromedp.Void] {
	return call(emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{
		{Name: "prefers-color-scheme", Value: scheme}, {Name: "prefers-reduced-motion", Value: motion}}})
}

// watchConsole notes errors of scripts, and of the page's policy.
func (v *visitor) watchConsole() {
	note := func(text string) {
		v.mutex.Lock()
		v.heard = append(v.heard, text)
		v.mutex.Unlock()
	}
	err := chromedp.Listen(v.ctx, func(e any) {
		switch e := e.(type) {
		case *runtime.EventExceptionThrown:
			note(fmt.Sprint("exception: ", e.ExceptionDetails.Text, " ", e.ExceptionDetails.Exception.Description))
		case *runtime.EventConsoleAPICalled:
			if e.Type == "error" || e.Type == "warning" {
				for _, a := range e.Args {
					note(fmt.Sprint("console: ", string(a.Value), a.Description))
				}
			}
		case *cdplog.EventEntryAdded:
			if e.Entry.Level == "error" || e.Entry.Level == "warning" {
				note(fmt.Sprint(e.Entry.Source, ": ", e.Entry.Text, " ", e.Entry.URL))
			}
		}
	})
	if err != nil {
		v.Fatal(err)
	}
	v.do(call(cdplog.Enable, cdp.Empty{}))
}

// forgive forgets complaints of the browser that a test asked for, such as "status of 422".
func (v *visitor) forgive(part string) {
	v.mutex.Lock()
	defer v.mutex.Unlock()
	v.heard = slices.DeleteFunc(v.heard, func(text string) bool { return strings.Contains(text, part) })
}

func (v *visitor) complaints() (all []string) {
	v.mutex.Lock()
	defer v.mutex.Unlock()
	for _, text := range v.heard {
		if !strings.Contains(text, "GPU stall") { // of software rendering, when a picture of it is taken
			all = append(all, text)
		}
	}
	return all
}
