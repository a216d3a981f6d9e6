//go:build browser

package main

import (
	"bytes"
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
)

// The tests look at a station that hears an invented day, always the same one, in a browser.
const dayEnds = "2026-03-05T00:05:00Z"

var running = flag.String("station", "", "look at an invented station that runs already, such as http://127.0.0.1:8073")

var (
	station string          // address of the page
	browser context.Context // of all pages
)

func TestMain(m *testing.M) { os.Exit(run1(m)) }

// run1 runs the tests with a station and a browser.
func run1(m *testing.M) int {
	dir, err := os.MkdirTemp("", "ionoscribe-page-")
	if err != nil {
		return fail(err)
	}
	defer os.RemoveAll(dir)
	flag.Parse()
	if station = *running; station == "" {
		stop, err := startStation(dir)
		if err != nil {
			return fail(err)
		}
		defer stop()
	}
	opts := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.NoSandbox, chromedp.Flag("enable-unsafe-swiftshader", true), chromedp.Flag("disable-quic", true),
		chromedp.Flag("hide-scrollbars", true), chromedp.UserDataDir(filepath.Join(dir, "browser")))
	allocator, cancel := chromedp.NewExecAllocator(context.Background(), opts...)
	defer cancel()
	browser, cancel = chromedp.NewContext(allocator)
	defer cancel()
	if err := chromedp.Do(browser); err != nil {
		return fail(fmt.Errorf("the browser does not start: %w; install chromium", err))
	}
	return m.Run()
}

func fail(err error) int {
	fmt.Fprintln(os.Stderr, "page:", err)
	return 1
}

// build builds the program in a folder.
func build(dir string) (program string, err error) {
	program = filepath.Join(dir, "ionoscribe")
	c := exec.Command("go", "build", "-o", program, "./cmd/ionoscribe")
	c.Dir = ".."
	if out, err := c.CombinedOutput(); err != nil {
		return "", fmt.Errorf("%w: %s", err, out)
	}
	return program, nil
}

// freeAddress is one of this computer where nobody listens.
func freeAddress() (string, error) {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		return "", err
	}
	return l.Addr().String(), l.Close()
}

// startStation runs the invented station, and waits until it has heard its day.
func startStation(dir string) (stop func(), err error) {
	program, err := build(dir)
	if err != nil {
		return nil, err
	}
	address, err := freeAddress()
	if err != nil {
		return nil, err
	}
	station = "http://" + address
	log, err := os.Create(filepath.Join(dir, "log"))
	if err != nil {
		return nil, err
	}
	watch := exec.Command(program, "demo", "--station", "--out", filepath.Join(dir, "station"), "--listen", address, "--at", dayEnds)
	watch.Stdout, watch.Stderr = log, log
	if err := watch.Start(); err != nil {
		return nil, err
	}
	stop = func() {
		watch.Process.Signal(os.Interrupt)
		watch.Wait()
	}
	for deadline := time.Now().Add(5 * time.Minute); ; time.Sleep(500 * time.Millisecond) {
		if heard() {
			return stop, nil
		}
		if time.Now().After(deadline) {
			stop()
			said, _ := os.ReadFile(log.Name())
			return nil, fmt.Errorf("the invented day was not heard in five minutes: %s", bytes.TrimSpace(said))
		}
	}
}

// heard says whether the invented day is over, and all its charts are saved.
func heard() bool {
	var now struct {
		UTC string `json:"utc"`
	}
	var wall struct {
		Charts []struct{ Title string } `json:"charts"`
	}
	ask("/api/now", &now)
	ask("/api/charts?limit=50", &wall)
	titled := 0
	for _, c := range wall.Charts {
		if c.Title != "" {
			titled++
		}
	}
	return now.UTC > dayEnds && titled >= 6
}

// ask gets an answer of the interface; an error leaves v as it is.
func ask(path string, v any) {
	r, err := http.Get(station + path)
	if err != nil {
		return
	}
	defer r.Body.Close()
	json.NewDecoder(r.Body).Decode(v)
}

// tab opens a page of its own, of a size and a scheme of colours, and notes what the page complains of.
func tab(t *testing.T, size screen, dark bool) *visitor {
	t.Helper()
	ctx, cancel := chromedp.NewContext(browser)
	ctx, timeout := context.WithTimeout(ctx, 2*time.Minute)
	v := &visitor{T: t, ctx: ctx, end: func() {
		timeout()
		cancel()
	}}
	t.Cleanup(func() {
		v.end()
		if complaints := v.complaints(); len(complaints) > 0 {
			t.Errorf("the browser complains:\n%s", strings.Join(complaints, "\n"))
		}
	})
	v.watchConsole()
	v.do(chromedp.EmulateViewport(size.width, size.height), media(shade(dark), "reduce"))
	return v
}

type screen struct {
	name          string
	width, height int64
}

var screens = []screen{{"desktop", 1280, 900}, {"phone", 360, 740}}
