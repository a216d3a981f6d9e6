package audio

import (
	"encoding/binary"
	"errors"
	"io"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"time"
)

// ramp is n samples of 32-bit float: from, from+1 and so on.
func ramp(from, n int) []byte {
	var b []byte
	for i := range n {
		b = binary.LittleEndian.AppendUint32(b, math.Float32bits(float32(from+i)))
	}
	return b
}

// pull reads all that waits in a feed: the numbers of a ramp, 0 for silence.
func pull(t *testing.T, f *deviceFeed) (got []float32) {
	t.Helper()
	for len(f.pieces) > 0 {
		data, silence, err := f.next()
		if err != nil {
			t.Fatal(err)
		}
		got = append(got, make([]float32, silence)...)
		for ; len(data) > 0; data = data[4:] {
			got = append(got, math.Float32frombits(binary.LittleEndian.Uint32(data)))
		}
	}
	return got
}

// A decoder that is too slow loses what finds no room, and nothing else; silence keeps its place.
func TestDeviceOverrun(t *testing.T) {
	const rate = 8000
	f := newDeviceFeed(rate, 4)
	now, r := began, rand.New(rand.NewPCG(1, 1))
	var want, got []float32
	sent, waits, lost := 1, 0, 0
	for range 3000 {
		n := 1 + r.IntN(800)
		now = now.Add(time.Duration(n) * time.Second / rate)
		f.push(ramp(sent, n), now)
		if waits+n > rate*deviceSeconds {
			want = append(want, make([]float32, n)...)
			lost += n
		} else {
			for i := range n {
				want = append(want, float32(sent+i))
			}
			waits += n
		}
		sent += n
		if r.IntN(90) == 0 {
			got = append(got, pull(t, f)...)
			waits = 0
		}
	}
	got = append(got, pull(t, f)...)
	compare(t, got, want, 0)
	if lost == 0 || int(f.lost) != lost || !strings.Contains(f.report(), "too slow") || f.missed != 0 {
		t.Errorf("%d lost, want %d: %s", f.lost, lost, f.report())
	}
	if first := began.Add(0); f.start.Sub(first).Abs() > time.Microsecond {
		t.Errorf("start %v, want %v", f.start, first)
	}
}

// Whoever waits gets the end when the device stops, after what came before.
func TestDeviceEnd(t *testing.T) {
	f := newDeviceFeed(8000, 4)
	f.push(ramp(1, 10), began)
	stopped := errors.New("stopped")
	f.end(stopped)
	if got := pull(t, f); len(got) != 10 {
		t.Errorf("%d samples", len(got))
	}
	if _, _, err := f.next(); err != stopped {
		t.Error(err)
	}
	if f.report() != "" {
		t.Error(f.report())
	}
	f = newDeviceFeed(8000, 4)
	go f.close()
	if _, _, err := f.next(); err != io.EOF {
		t.Error(err)
	}
}

// A hole in what a device brings is found within four seconds and to a few milliseconds; irregular delivery and a clock
// that is wrong by 0.02 % are no holes.
func TestClockGaps(t *testing.T) {
	const rate, block = 48000.0, 480
	r := rand.New(rand.NewPCG(2, 2))
	for _, hole := range []float64{0, 0.5, 30} {
		for _, ppm := range []float64{-200, 0, 200} {
			g := clockGaps{rate: rate}
			var found []int64
			at := 0.0
			for i := range 60 * 100 {
				at += block / rate * (1 + ppm*1e-6)
				if i == 30*100 {
					at += hole
				}
				late := 0.02 * r.Float64()
				if r.IntN(100) == 0 {
					late = 0.3
				}
				if n := g.add(block, began.Add(time.Duration((at+late)*1e9))); n > 0 {
					found = append(found, n)
					if s := at - hole - 30; s < 0 || s > 4 {
						t.Errorf("%g s, %g ppm: found %g s after it", hole, ppm, s)
					}
				}
			}
			if hole == 0 && len(found) > 0 || hole > 0 && (len(found) != 1 || math.Abs(float64(found[0])/rate-hole) > 0.02) {
				t.Errorf("%g s, %g ppm: found %v", hole, ppm, found)
			}
		}
	}
}

func TestFindDevice(t *testing.T) {
	all := []soundDevice{{"Receiver A", false}, {"Receiver B", true}, {"Receiver", false}}
	for name, want := range map[string]int{"Receiver A": 0, "receiver b": 1, "Receiver": 2, "default": -1, "B": 1} {
		if i, err := findDevice(all, name); i != want || err != nil {
			t.Errorf("%q: %d, %v, want %d", name, i, err, want)
		}
	}
	for name, says := range map[string]string{
		"": "names no device; there are: Receiver A, Receiver B, Receiver", "rec": "a part of several", "none": "no sound device",
	} {
		if _, err := findDevice(all, name); err == nil || !strings.Contains(newError("open", "device:"+name, err).Error(), says) {
			t.Errorf("%q: %v", name, err)
		}
	}
	if _, err := findDevice(nil, "default"); err == nil {
		t.Error("a default of none")
	}
}
