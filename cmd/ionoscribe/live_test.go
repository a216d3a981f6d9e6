package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"ionoscribe/internal/band"
)

// wait waits until something has happened. A minute is far more than it takes.
func wait(t *testing.T, what string, happened func() bool) {
	t.Helper()
	for end := time.Now().Add(time.Minute); !happened(); time.Sleep(20 * time.Millisecond) {
		if time.Now().After(end) {
			t.Fatal("waited in vain for ", what)
		}
	}
}

// lockedBuffer may be written to and read by several goroutines.
type lockedBuffer struct {
	sync.Mutex
	b bytes.Buffer
}

func (l *lockedBuffer) Write(p []byte) (int, error) {
	l.Lock()
	defer l.Unlock()
	return l.b.Write(p)
}

func (l *lockedBuffer) String() string {
	l.Lock()
	defer l.Unlock()
	return l.b.String()
}

// What synth sends is received at the other end of the loopback interface, and what was lost is told in the end.
func TestReceiveFromTheNetwork(t *testing.T) {
	t.Parallel() // it waits for what is sent at the pace of sound
	ctx, stop := context.WithCancel(t.Context())
	defer stop()
	const text = "RY THE QUICK BROWN FOX"
	out := awaited{text: text, seen: make(chan string, 1)}
	errs := awaited{text: "listening at rtp://127.0.0.1:", seen: make(chan string, 1)}
	done := make(chan int)
	go func() {
		done <- run(ctx, []string{"rtty", "--rate", "12000", "--baud", "100", "rtp://127.0.0.1:0"}, nil, &out, &errs)
	}()
	_, address, _ := strings.Cut(strings.TrimSpace(errs.wait(t)), "listening at ")
	if status, out, errs := try(nil, "synth", "rtty", "--baud", "100", "--to", address, text); status != 0 || out != "" {
		t.Fatalf("%d %q %q", status, out, errs)
	}
	out.wait(t)
	stop()
	if status := <-done; status != statusInterrupted {
		t.Errorf("status %d: %s", status, errs.String())
	}
	lines := strings.Split(strings.TrimSpace(errs.String()), "\n")
	last := slices.IndexFunc(lines, func(l string) bool {
		return strings.HasPrefix(l, "ionoscribe: "+address+": ") && strings.Contains(l, " packets, 0 lost")
	})
	if lines[0] != "ionoscribe: rtp://127.0.0.1:0: listening at "+address || last < 1 {
		t.Errorf("%q", lines)
	}
}

// awaited is written to by another goroutine; seen gets all that was written as soon as the text is in it.
type awaited struct {
	lockedBuffer
	text string
	seen chan string
}

func (a *awaited) wait(t *testing.T) string {
	t.Helper()
	select {
	case s := <-a.seen:
		return s
	case <-time.After(time.Minute): // far more than it takes
		t.Fatalf("waited in vain for %q; there is %q", a.text, a.String())
		return ""
	}
}

func (a *awaited) Write(p []byte) (int, error) {
	n, err := a.lockedBuffer.Write(p)
	if s := a.String(); strings.Contains(s, a.text) {
		select {
		case a.seen <- s:
		default:
		}
	}
	return n, err
}

// A band is made as its list says, and a teleprinter in it is received by a tuner; mirrored it is at the mirrored
// frequency.
func TestBandAsIQ(t *testing.T) {
	signalsAlone(t)
	dir := t.TempDir()
	file, list := filepath.Join(dir, "band.wav"), filepath.Join(dir, "band.json")
	status, out, errs := try(nil, "synth", "band", "--minutes=1", "--rate=24000", "--cw=2", "--rtty=1", "--fax=0", "--snr=20,20",
		"--seed=2", "--list", list, "-o", file)
	if status != 0 || out != file+"\n" || errs != "" {
		t.Fatalf("%d %q %q", status, out, errs)
	}
	var plan band.Plan
	b, err := os.ReadFile(list)
	must(t, err)
	must(t, json.Unmarshal(b, &plan))
	if plan.SampleRate != 24000 || plan.Seconds != 60 || len(plan.Transmissions) != 3 {
		t.Fatalf("%s", b)
	}
	for _, x := range plan.Transmissions {
		if x.Kind != "rtty" {
			continue
		}
		for _, form := range []string{"normal", "swapped"} {
			hz := x.Hz
			if form == "swapped" {
				hz = -hz
			}
			status, out, errs := try(nil, "rtty", "--iq", form, fmt.Sprintf("--tune=%+g", hz-1500), "--centre=1500", file)
			if want := x.Text[len(x.Text)/4 : len(x.Text)/2]; status != 0 || !strings.Contains(out, want) {
				t.Errorf("%s: %d %s: %q does not hold %q", form, status, errs, out, want)
			}
		}
	}
}

func TestLiveUsage(t *testing.T) {
	source := put(t, "chart.wav", recording)
	for _, c := range []struct {
		status int
		says   string
		args   []string
	}{
		{statusUsage, "--tune goes with --iq", []string{"cw", "--tune=3", source}},
		{statusFailed, "I and Q are two", []string{"cw", "--iq=normal", source}},
		{statusFailed, "give normal, swapped or mirrored", []string{"cw", "--iq=upside", source}},
		{statusFailed, "address with a port", []string{"fax", "--out", t.TempDir(), "rtp://127.0.0.1"}},
		{statusFailed, "--rate", []string{"rtty", "tcp://127.0.0.1:9"}},
		{statusUsage, "exclude each other", []string{"synth", "cw", "--to", "rtp://127.0.0.1:9", "-o", "x.wav", "E"}},
		{statusUsage, "16-bit", []string{"synth", "cw", "--to", "rtp://127.0.0.1:9", "--encoding", "f32le", "E"}},
		{statusFailed, "no address of RTP", []string{"synth", "cw", "--to", "127.0.0.1:9", "E"}},
		{statusUsage, "band", []string{"synth", "band", "--minutes=0"}},
		{statusUsage, "numbers", []string{"synth", "band", "--snr=loud"}},
	} {
		status, out, errs := try(nil, c.args...)
		if status != c.status || out != "" || !strings.Contains(errs, c.says) {
			t.Errorf("%v: %d %q %q", c.args, status, out, errs)
		}
		oneError(t, errs)
	}
}

// Who waits for a network is told what for; and a start that fails leaves no folder behind.
func TestWaitingAndFolders(t *testing.T) {
	t.Parallel()
	ctx, cancel := context.WithTimeout(context.Background(), noteWait+2*time.Second)
	defer cancel()
	var out, errs bytes.Buffer
	if status := run(ctx, []string{"rtty", "--rate=8000", "rtp://127.0.0.1:0"}, nil, &out, &errs); status != statusInterrupted ||
		!strings.Contains(errs.String(), "waiting for RTP packets") {
		t.Errorf("%d %q", status, errs.String())
	}
	for _, command := range []string{"fax", "copy"} {
		dir := filepath.Join(t.TempDir(), "new", "folder")
		if status, _, _ := try(nil, command, "-o", dir, "no.wav"); status != statusFailed {
			t.Error(status)
		}
		if _, err := os.Stat(filepath.Dir(dir)); !errors.Is(err, fs.ErrNotExist) {
			t.Errorf("%s: a folder is left: %v", command, err)
		}
	}
}
