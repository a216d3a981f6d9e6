package audio

import (
	"errors"
	"fmt"
	"io"
	"strings"
	"sync"
	"time"
)

// devicePrefix begins the path of a sound device; its name follows.
const devicePrefix = "device:"

// defaultDevice is the name of what the system records from unless it is told otherwise.
const defaultDevice = "default"

// soundDevice is a device that can record.
type soundDevice struct {
	name  string
	usual bool // the system's default
}

// Devices lists what Open can record from: the paths, those of the system's default devices first.
func Devices() ([]string, error) {
	all, err := soundDevices()
	if err != nil {
		return nil, newError("list", "sound devices", err)
	}
	var paths, others []string
	for _, d := range all {
		if d.usual {
			paths = append(paths, devicePrefix+d.name)
		} else {
			others = append(others, devicePrefix+d.name)
		}
	}
	return append(paths, others...), nil
}

// findDevice gives the index of the device that a name, or a part of one whatever its case, stands for; -1 is the
// system's default.
func findDevice(all []soundDevice, name string) (int, error) {
	names := make([]string, len(all))
	match := []int(nil)
	for i, d := range all {
		names[i] = d.name
		if d.name == name {
			return i, nil
		}
		if strings.Contains(strings.ToLower(d.name), strings.ToLower(name)) {
			match = append(match, i)
		}
	}
	there := "there are: " + strings.Join(names, ", ")
	if len(all) == 0 {
		there = "there is none to record from"
	}
	switch {
	case name == "":
		return 0, mended{errors.New("names no device"), there}
	case name == defaultDevice && len(all) > 0:
		return -1, nil
	case len(match) == 1:
		return match[0], nil
	case len(match) > 1:
		return 0, mended{errors.New("is a part of several names"), there}
	}
	return 0, mended{errors.New("is no sound device"), there}
}

// deviceSeconds is how much sound waits for a decoder that is busy before some is lost.
const deviceSeconds = 4

// deviceFeed is the liveFeed of a sound device, which pushes its samples from a thread of its own. What finds no room
// is lost, and silence stands in its place.
type deviceFeed struct {
	rate  float64
	frame int // bytes
	gaps  clockGaps
	stop  func() // ends the device

	sync.Mutex
	arrived  sync.Cond
	ring     []byte
	from     int           // of the oldest byte
	pieces   []devicePiece // in order
	start    time.Time     // of the first sample
	overruns int64
	lost     int64 // frames for which there was no room
	missed   int64 // frames that the device did not bring
	err      error // that ended it

	out []byte
}

// devicePiece is bytes of the ring, or frames of silence.
type devicePiece struct {
	bytes   int
	silence int64
}

func newDeviceFeed(rate float64, frame int) *deviceFeed {
	f := &deviceFeed{
		rate: rate, frame: frame, gaps: clockGaps{rate: rate}, stop: func() {},
		ring: make([]byte, int(rate*deviceSeconds)*frame), out: make([]byte, ioBlock/frame*frame),
	}
	f.arrived.L = &f.Mutex
	return f
}

// push takes samples that the device brings at a time; it does not wait.
func (f *deviceFeed) push(b []byte, now time.Time) {
	f.Lock()
	defer f.Unlock()
	b = b[:len(b)/f.frame*f.frame]
	frames := int64(len(b) / f.frame)
	if f.start.IsZero() {
		f.start = now.Add(-time.Duration(float64(frames) / f.rate * 1e9))
	}
	if gap := f.gaps.add(frames, now); gap > 0 {
		f.missed += gap
		f.add(devicePiece{silence: gap})
	}
	used := 0
	for _, p := range f.pieces {
		used += p.bytes
	}
	if used+len(b) > len(f.ring) {
		f.overruns++
		f.lost += frames
		f.add(devicePiece{silence: frames})
	} else {
		at := (f.from + used) % len(f.ring)
		n := copy(f.ring[at:], b)
		copy(f.ring, b[n:])
		f.add(devicePiece{bytes: len(b)})
	}
	f.arrived.Signal()
}

// add appends a piece, to the last one if it is of its kind, so that there are few.
func (f *deviceFeed) add(p devicePiece) {
	if n := len(f.pieces); n > 0 && (f.pieces[n-1].bytes > 0) == (p.bytes > 0) {
		f.pieces[n-1].bytes += p.bytes
		f.pieces[n-1].silence += p.silence
		return
	}
	f.pieces = append(f.pieces, p)
}

// end ends the feed: once all is read, next gives err.
func (f *deviceFeed) end(err error) {
	f.Lock()
	defer f.Unlock()
	if f.err == nil {
		f.err = err
	}
	f.arrived.Broadcast()
}

func (f *deviceFeed) next() ([]byte, int64, error) {
	f.Lock()
	defer f.Unlock()
	for len(f.pieces) == 0 {
		if f.err != nil {
			return nil, 0, f.err
		}
		f.arrived.Wait()
	}
	p := &f.pieces[0]
	if p.bytes == 0 {
		n := p.silence
		f.drop()
		return nil, n, nil
	}
	b := f.out[:min(p.bytes, len(f.out))]
	n := copy(b, f.ring[f.from:])
	copy(b[n:], f.ring)
	f.from = (f.from + len(b)) % len(f.ring)
	if p.bytes -= len(b); p.bytes == 0 {
		f.drop()
	}
	return b, 0, nil
}

func (f *deviceFeed) drop() { f.pieces = f.pieces[:copy(f.pieces, f.pieces[1:])] }

func (f *deviceFeed) now() time.Time { return time.Now() }

func (f *deviceFeed) close() error {
	f.end(io.EOF)
	f.stop()
	return nil
}

func (f *deviceFeed) report() string {
	f.Lock()
	defer f.Unlock()
	var text []string
	if f.overruns > 0 {
		text = append(text, fmt.Sprintf("%.2f s were lost because decoding was too slow, in %d pieces", float64(f.lost)/f.rate, f.overruns))
	}
	if f.missed > 0 {
		text = append(text, fmt.Sprintf("%.2f s did not come from the device", float64(f.missed)/f.rate))
	}
	if len(text) == 0 {
		return ""
	}
	return strings.Join(text, ", ") + "; silence is in their place"
}

// clockGaps finds what a device or its driver has lost without a word: its samples come to be late by the clock. They
// come in bursts, so it is the least delay within gapWindow that counts. A device's own clock, wrong by some 0.01 %,
// makes 0.2 ms in that time; it is followed.
type clockGaps struct {
	rate   float64
	begun  time.Time // when counting began
	frames int64     // since then
	window time.Time // beginning of the present one
	least  float64   // delay in it, seconds
	usual  float64   // delay, seconds
	known  bool      // usual is
}

const (
	gapWindow = 2 * time.Second
	gapLeast  = 0.1 // seconds; what is shorter is taken for irregular delivery
)

// add counts frames that came, and returns how many are missing before them.
func (g *clockGaps) add(frames int64, now time.Time) (gap int64) {
	g.frames += frames
	if g.begun.IsZero() {
		g.begun, g.window, g.frames, g.least = now, now, 0, 0
		return 0
	}
	g.least = min(g.least, now.Sub(g.begun).Seconds()-float64(g.frames)/g.rate)
	if now.Sub(g.window) < gapWindow {
		return 0
	}
	if late := g.least - g.usual; g.known && late > gapLeast {
		gap = int64(late * g.rate)
		g.frames += gap
		g.least -= late
	}
	g.usual, g.known = g.least, true
	g.window = now
	g.least = now.Sub(g.begun).Seconds() - float64(g.frames)/g.rate
	return gap
}

func (s *Source) openDevice(name string, o Options) (io.Closer, error) {
	if o.Encoding != "" {
		return nil, mended{errors.New("a sound device has no encoding"), "leave out --encoding"}
	}
	channels := o.Channels
	if o.IQ != "" {
		channels = 2
	} else if channels <= 1 {
		channels = 0 // all that it has; the default is the first, not their mean
	}
	f, channels, err := startDevice(name, o.Rate, channels)
	if err != nil {
		return nil, err
	}
	c := feedCloser{f}
	s.channels = channels
	if _, err := s.check(f.rate, o); err != nil {
		return c, err
	}
	data, _, err := f.next()
	if err != nil {
		return c, err
	}
	return c, s.startLive(f, data, encodings[F32], f.rate, f.start, o)
}
