package audio

import (
	"encoding/binary"
	"errors"
	"io"
	"math"
	"net"
	"slices"
	"strings"
	"testing"
	"time"
)

// testClock goes on when someone sleeps, and not otherwise.
type testClock struct{ t time.Time }

func (c *testClock) now() time.Time { return c.t }

func (c *testClock) sleep(d time.Duration, stop <-chan struct{}) bool {
	select {
	case <-stop:
		return false
	default:
	}
	c.t = c.t.Add(d)
	return true
}

// What a Sender sends over the loopback interface comes back through Open, at its pace by the clock.
func TestSendAndReceive(t *testing.T) {
	for _, c := range []struct {
		rate float64
		iq   bool
	}{{12000, false}, {44100, false}, {96000, true}, {44100, true}} {
		var address string
		conn, err := listenUDP("rtp://127.0.0.1:0", func(a string) { address = a })
		if err != nil {
			t.Fatal(err)
		}
		clock := &testClock{began}
		w, err := newSender(address, c.rate, c.iq, clock)
		if err != nil {
			t.Fatal(err)
		}
		channels := 1
		if c.iq {
			channels = 2
		}
		frames := int(c.rate) / 10 // fits into the socket's buffer
		var want []float32
		for i := range frames * channels {
			want = append(want, float32(i%30000+1)/(1<<15))
		}
		if c.iq {
			var z []complex64
			for i := range frames {
				z = append(z, complex(want[2*i], want[2*i+1]))
			}
			w.WriteIQ(z)
		} else {
			w.WriteSamples(want)
		}
		if err := w.Close(); err != nil {
			t.Fatal(err)
		}
		if took := clock.now().Sub(began).Seconds(); math.Abs(took-0.1) > 1e-6 {
			t.Errorf("%g Hz: 0.1 s took %g s", c.rate, took)
		}
		o := Options{Rate: c.rate}
		if c.iq {
			o.IQ = IQNormal
		}
		src := &Source{name: address, length: -1, held: -1, closer: conn}
		if err := src.openRTP(conn, o); err != nil {
			t.Fatal(err)
		}
		got := make([]float32, len(want))
		for n := 0; n < len(got); {
			k, err := src.readAny(got[n:])
			if err != nil {
				t.Fatal(err)
			}
			n += k
		}
		if !slices.Equal(got, want) {
			t.Errorf("%g Hz, I/Q %v: samples differ", c.rate, c.iq)
		}
		// Close ends a read that waits.
		go src.Close()
		if n, err := src.readAny(got); n != 0 || err != io.EOF {
			t.Errorf("after Close: %d samples, %v", n, err)
		}
	}
}

func TestNetworkErrors(t *testing.T) {
	for path, want := range map[string]string{
		"rtp://127.0.0.1":                       "no address with a port",
		"rtp://127.0.0.1:0":                     "no address with a port",
		"rtp://127.0.0.1:99999":                 "no address",
		"rtp://127.0.0.1:5004/sound":            "no address with a port",
		"rtp://%zz:1":                           "no address",
		"rtp://[::1":                            "no address",
		"rtp://192.0.2.1:5004":                  "address of this machine", // RFC 5737: an address for documentation
		"rtp://239.255.0.1:5004?interface=none": "name of the interface",
		"tcp://127.0.0.1:7000":                  "give --rate",
	} {
		_, err := Open(path, Options{})
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v, want %q", path, err, want)
			continue
		}
		wantError(t, err, path)
	}
	for address, want := range map[string]string{
		"tcp://127.0.0.1:5004": "no address of RTP", "rtp://:5004": "names no receiver", "rtp://127.0.0.1": "with a port",
	} {
		if _, err := NewSender(address, 12000, false); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v, want %q", address, err, want)
		}
	}
	if _, err := NewSender("rtp://127.0.0.1:5004", 12000.5, false); err == nil {
		t.Error("12000.5 Hz: no error")
	}
}

// fakeConn gives some bytes in pieces, and takes its time for each.
type fakeConn struct {
	net.Conn
	clock  *testClock
	pieces []string
	each   time.Duration
	closed bool
}

func (c *fakeConn) Read(b []byte) (int, error) {
	if len(c.pieces) == 0 {
		return 0, io.EOF
	}
	c.clock.t = c.clock.t.Add(c.each)
	n := copy(b, c.pieces[0])
	c.pieces = c.pieces[1:]
	return n, nil
}

func (c *fakeConn) Close() error { c.closed = true; return nil }

// rawWords is raw samples as a string.
func rawWords(x ...int16) string {
	var b []byte
	for _, v := range x {
		b = binary.LittleEndian.AppendUint16(b, uint16(v))
	}
	return string(b)
}

// A connection that breaks is made again: half a sample is dropped, the time between becomes silence, and in the end the
// attempts are given up with an error.
func TestTCPReconnects(t *testing.T) {
	clock := &testClock{began}
	conns := []*fakeConn{
		{clock: clock, pieces: []string{rawWords(1, 2) + "\x03", "\x00" + rawWords(4) + "h"}, each: 10 * time.Millisecond},
		nil, nil, // refused
		{clock: clock}, // accepted and closed again
		{clock: clock, pieces: []string{"\x05", "\x00" + rawWords(6)}, each: 10 * time.Millisecond},
	}
	dial := func(network, address string) (net.Conn, error) {
		if network != "tcp" || address != "127.0.0.1:7000" {
			t.Errorf("dials %s %s", network, address)
		}
		if len(conns) == 0 || conns[0] == nil {
			conns = conns[min(1, len(conns)):]
			return nil, errors.New("connection refused")
		}
		c := conns[0]
		conns = conns[1:]
		return c, nil
	}
	src := &Source{name: "tcp", length: -1, held: -1}
	if _, err := src.openTCP("tcp://127.0.0.1:7000", dial, clock, Options{Rate: 8000, Encoding: S16}); err != nil {
		t.Fatal(err)
	}
	// Two samples of 1/8000 s were there after 10 ms.
	if want := began.Add(10*time.Millisecond - 250*time.Microsecond); !src.Start().Equal(want) || src.StartFrom() != FromClock {
		t.Errorf("start %v, want %v", src.Start(), want)
	}
	var got []float32
	buf := make([]float32, 100)
	var err error
	for err == nil {
		var n int
		n, err = src.ReadSamples(buf)
		got = append(got, buf[:n]...)
	}
	// 0.25, 0.5, 1 and 2 s of waiting and 20 ms of reading lie between the two connections that work.
	gap := int(8000 * (0.25 + 0.5 + 1 + 2 + 0.02))
	want := make([]float32, 4+gap)
	for i := range 4 {
		want[i] = float32(i+1) / (1 << 15)
	}
	want = append(want, 5.0/(1<<15), 6.0/(1<<15))
	// Eleven attempts take 8 s each but for the first: the connection lasted too short a time to begin with 0.25 s again.
	want = append(want, make([]float32, 8000*(4+10*8))...)
	if !slices.Equal(got, want) {
		t.Errorf("%d samples, want %d", len(got), len(want))
	}
	if !strings.Contains(wantError(t, err, "tcp").Error(), "11 attempts") {
		t.Error(err)
	}
	if r := src.Report(); r != "the connection was made again, times: 1; 87.77 s of silence between" {
		t.Error(r)
	}
}

// pacedConn brings samples by a timetable: each read gives what has come since the last one, or waits for more.
type pacedConn struct {
	net.Conn
	clock *testClock
	come  []pacedPiece
}

type pacedPiece struct {
	at time.Duration // after began
	b  string
}

func (c *pacedConn) Read(b []byte) (int, error) {
	if len(c.come) == 0 {
		return 0, io.EOF
	}
	p := &c.come[0]
	if now := began.Add(p.at); c.clock.t.Before(now) {
		c.clock.t = now
	}
	n := copy(b, p.b)
	if p.b = p.b[n:]; p.b == "" {
		c.come = c.come[1:]
	}
	return n, nil
}

func (c *pacedConn) Close() error { return nil }

// A connection stands still for 12 s. If the sender kept the samples and sends them then, none is missing and none is
// put in; if it dropped them, silence takes their place, and what comes then is where it belongs.
func TestTCPStall(t *testing.T) {
	const rate, piece = 8000, 800 // 100 ms
	x := sentence(60 * rate)
	for _, c := range []struct {
		name          string
		stall         time.Duration
		kept          int     // seconds of sound that the sender keeps
		speed         float64 // at which it sends what it has kept
		lead          int     // seconds of sound that it sends at once in the beginning
		lost, resumes int     // seconds of silence, and where the sound goes on
	}{
		{"kept", 12 * time.Second, 12, 50, 0, 0, 20},
		{"dropped", 12 * time.Second, 0, 1, 0, 12, 32},
		{"half of it kept", 12 * time.Second, 6, 50, 0, 6, 26},
		{"dropped after a lead", 12 * time.Second, 0, 1, 5, 12, 37},
		{"short", 500 * time.Millisecond, 1, 50, 0, 0, 20},
	} {
		clock := &testClock{began}
		conn := &pacedConn{clock: clock}
		at := 0.0 // seconds at which the next piece comes
		for i := 0; i+piece <= len(x); i += piece {
			second := float64(i) / rate
			if second >= float64(c.lead) {
				at += 0.1
			}
			if i == (20+c.lead)*rate {
				at += c.stall.Seconds()
			}
			conn.come = append(conn.come, pacedPiece{time.Duration(at * 1e9), rawWords(x[i:][:piece]...)})
			if s := second - float64(20+c.lead); s >= 0 && s < float64(c.kept) {
				at -= 0.1 * (1 - 1/c.speed)
			}
		}
		dial := func(string, string) (net.Conn, error) {
			if conn == nil {
				return nil, errors.New("connection refused")
			}
			defer func() { conn = nil }()
			return conn, nil
		}
		src := &Source{name: "tcp", length: -1, held: -1}
		if _, err := src.openTCP("tcp://127.0.0.1:7000", dial, clock, Options{Rate: rate, Encoding: S16}); err != nil {
			t.Fatal(err)
		}
		var got []int16
		buf := make([]float32, 1000)
		for {
			n, err := src.ReadSamples(buf)
			for _, v := range buf[:n] {
				got = append(got, int16(v*(1<<15)))
			}
			if err != nil || len(got) > len(x)+20*rate {
				break
			}
		}
		first := (20 + c.lead) * rate
		next := x[first]
		resumes := first
		for resumes < len(got) && got[resumes] == 0 {
			resumes++
		}
		if d := resumes - c.resumes*rate; d < -rate/4 || d > rate/4 || got[resumes] != next || (c.lost > 0) != strings.Contains(src.Report(), "too late") {
			t.Errorf("%s: sound goes on after %.2f s with %d, want %d with %d: %s", c.name, float64(resumes)/rate, got[min(resumes, len(got)-1)], c.resumes, next, src.Report())
		}
		if i := slices.Index(got[resumes:], 0); !slices.Equal(got[resumes:][:min(len(got)-resumes, len(x)-first)], x[first:]) {
			t.Errorf("%s: silence again after %d samples", c.name, i)
		}
	}
}

// The pause grows while a peer closes each connection at once, although it brings something each time.
func TestTCPPeerThatCloses(t *testing.T) {
	clock := &testClock{began}
	var dialled []time.Duration
	dial := func(string, string) (net.Conn, error) {
		dialled = append(dialled, clock.t.Sub(began))
		return &fakeConn{clock: clock, pieces: []string{rawWords(1, 2)}, each: time.Millisecond}, nil
	}
	src := &Source{name: "tcp", length: -1, held: -1}
	if _, err := src.openTCP("tcp://127.0.0.1:7000", dial, clock, Options{Rate: 8000, Encoding: S16}); err != nil {
		t.Fatal(err)
	}
	buf := make([]float32, 1000)
	for len(dialled) < 30 {
		if _, err := src.ReadSamples(buf); err != nil {
			t.Fatal(err)
		}
	}
	if took := dialled[29]; took < 24*tcpLongestWait {
		t.Errorf("thirty connections within %v", took)
	}
}

func TestTCPOverLoopback(t *testing.T) {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	go func() {
		c, err := l.Accept()
		if err == nil {
			io.WriteString(c, rawWords(1, -2, 3, -4))
		}
	}()
	src, err := OpenIQ("tcp://"+l.Addr().String(), Options{Rate: 8000, Encoding: S16})
	if err != nil {
		t.Fatal(err)
	}
	z := make([]complex64, 2)
	for n := 0; n < 2; {
		k, err := src.ReadIQ(z[n:])
		if err != nil {
			t.Fatal(err)
		}
		n += k
	}
	go src.Close()
	if n, err := src.ReadIQ(z); n != 0 || err != io.EOF {
		t.Errorf("after Close: %d samples, %v", n, err)
	}
	l.Close()
	_, err = Open("tcp://"+l.Addr().String(), Options{Rate: 8000, Encoding: S16})
	if err == nil || !strings.Contains(err.Error(), "start the sender first") {
		t.Error(err)
	}
}
