package audio

import (
	"fmt"
	"io"
	"net/url"
	"strconv"
	"strings"
	"sync/atomic"
	"time"

	"ionoscribe/demod"
)

// liveFeed brings the samples of a source that has no end, in pieces.
type liveFeed interface {
	// next waits for the next piece: bytes of whole frames, valid until the next call, or a number of frames of
	// silence in the place of what was lost; never neither. io.EOF follows close.
	next() (data []byte, silence int64, err error)
	// now is the time, by the clock that tells when its samples come.
	now() time.Time
	// close ends a next that waits; it may be called at any time.
	close() error
	// report is what went wrong so far, in a line; "" if there is nothing to tell. It may be called at any time.
	report() string
}

// liveReader is the channelReader of a feed.
type liveReader struct {
	frames  frameDecoder
	feed    liveFeed
	lost    *atomic.Int64
	data    []byte
	silence int64
}

func (l *liveReader) read(dst []float32) (int, error) {
	values := l.frames.values
	want := len(dst) / values
	for l.silence == 0 && len(l.data) == 0 {
		var err error
		if l.data, l.silence, err = l.feed.next(); err != nil {
			return 0, err
		}
	}
	if l.silence > 0 {
		n := int(min(int64(want), l.silence))
		clear(dst[:n*values])
		l.silence -= int64(n)
		l.lost.Add(int64(n))
		return n * values, nil
	}
	size := l.frames.size()
	n := min(want, len(l.data)/size)
	l.frames.decode(dst[:n*values], l.data[:n*size])
	l.data = l.data[n*size:]
	return n * values, nil
}

func openLive(path string, o Options) (*Source, error) {
	s := &Source{name: path, length: -1, held: -1}
	var c io.Closer
	var err error
	switch {
	case strings.HasPrefix(path, "rtp:"):
		var u udp
		if u, err = listenUDP(path, o.Listening); err == nil {
			c, err = u, s.openRTP(u, o)
		}
	case strings.HasPrefix(path, devicePrefix):
		c, err = s.openDevice(strings.TrimPrefix(path, devicePrefix), o)
	default:
		var f *tcpFeed
		if f, err = s.openTCP(path, dialTCP, wallClock{}, o); f != nil {
			c = feedCloser{f}
		}
	}
	if err != nil {
		if c != nil {
			c.Close()
		}
		return nil, newError("open", path, err)
	}
	s.closer = c
	return s, nil
}

type feedCloser struct{ liveFeed }

func (f feedCloser) Close() error { return f.close() }

// startLive makes a source of a feed whose first piece is there; that began at start by the clock.
func (s *Source) startLive(feed liveFeed, data []byte, format pcmFormat, rate float64, start time.Time, o Options) error {
	pick, err := s.check(rate, o)
	if err != nil {
		return err
	}
	s.reader = &liveReader{frames: newFrameDecoder(format, s.channels, pick), feed: feed, lost: &s.lost, data: data}
	s.startFrom = FromClock
	if !o.Start.IsZero() {
		s.startFrom = FromOrder
	}
	s.clock = newSampleClock(rate, func() instant { return instantOf(feed.now()) }, start, o.Start.UTC())
	s.report = feed.report
	return nil
}

// clock is the time, for live sources; tests have their own.
type clock interface {
	now() time.Time
	// sleep waits for d, or less if stop is closed, which it reports as false.
	sleep(d time.Duration, stop <-chan struct{}) bool
}

type wallClock struct{}

func (wallClock) now() time.Time { return time.Now() }

func (wallClock) sleep(d time.Duration, stop <-chan struct{}) bool {
	t := time.NewTimer(d)
	defer t.Stop()
	select {
	case <-t.C:
		return true
	case <-stop:
		return false
	}
}

// liveChannels is how many channels a stream has that does not say so itself.
func liveChannels(o Options) int {
	if o.IQ != "" {
		return max(o.Channels, 2)
	}
	return max(o.Channels, 1)
}

// framesIn is the number of frames in a time.
func framesIn(rate float64, d time.Duration) int64 { return demod.Rate(rate).Samples(d) }

// IsLive tells whether a path names a live source rather than a file.
func IsLive(path string) bool {
	for _, scheme := range []string{"rtp://", "tcp://", devicePrefix} {
		if strings.HasPrefix(path, scheme) {
			return true
		}
	}
	return false
}

// networkAddress takes a URL such as rtp://ADDRESS:PORT apart.
func networkAddress(path string) (u *url.URL, err error) { return addressFrom(path, 1) }

// addressFrom takes ports from least on.
func addressFrom(path string, least int) (u *url.URL, err error) {
	u, err = url.Parse(path)
	if err != nil {
		return nil, mended{fmt.Errorf("is no address"), "give one such as rtp://239.1.2.3:5004 or tcp://host:7000"}
	}
	port, err := strconv.Atoi(u.Port())
	if err != nil || port < least || port > 65535 || u.Path != "" || u.User != nil || u.Fragment != "" {
		return nil, mended{fmt.Errorf("is no address with a port"), "give one such as rtp://239.1.2.3:5004 or tcp://host:7000"}
	}
	return u, nil
}
