package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"net"
	"os"
	"path/filepath"
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
	free, err := net.ListenUDP("udp", &net.UDPAddr{IP: net.IPv4(127, 0, 0, 1)})
	must(t, err)
	address := fmt.Sprintf("rtp://%s", free.LocalAddr())
	free.Close()
	ctx, stop := context.WithCancel(context.Background())
	defer stop()
	var out, errs lockedBuffer
	done := make(chan int)
	go func() {
		done <- run(ctx, []string{"rtty", "--rate", "12000", "--baud", "100", address}, nil, &out, &errs)
	}()
	const text = "RY THE QUICK BROWN FOX"
	// If the receiver is not there yet when the first one is sent, it hears the second.
	wait(t, "the text", func() bool {
		if status, out, errs := try(nil, "synth", "rtty", "--baud", "100", "--to", address, text); status != 0 || out != "" {
			t.Fatalf("%d %q %q", status, out, errs)
		}
		for end := time.Now().Add(3 * time.Second); time.Now().Before(end) && !strings.Contains(out.String(), text); {
			time.Sleep(20 * time.Millisecond)
		}
		return strings.Contains(out.String(), text)
	})
	stop()
	if status := <-done; status != statusInterrupted {
		t.Errorf("status %d: %s", status, errs.String())
	}
	if lines := strings.Split(errs.String(), "\n"); len(lines) != 3 || !strings.HasPrefix(lines[0], "ionoscribe: "+address+": ") || !strings.Contains(lines[0], " packets, 0 lost") {
		t.Errorf("%q", errs.String())
	}
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
	ctx, cancel := context.WithTimeout(context.Background(), noteWait+2*time.Second)
	defer cancel()
	var out, errs bytes.Buffer
	c, err := net.ListenPacket("udp", "127.0.0.1:0")
	must(t, err)
	address := c.LocalAddr().String()
	c.Close()
	if status := run(ctx, []string{"rtty", "--rate=8000", "rtp://" + address}, nil, &out, &errs); status != statusInterrupted ||
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
