package audio

import (
	"encoding/binary"
	"errors"
	"fmt"
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
		// A socket that is closed again leaves a port that is free for the moment.
		probe, err := net.ListenUDP("udp", &net.UDPAddr{IP: net.IPv4(127, 0, 0, 1)})
		if err != nil {
			t.Fatal(err)
		}
		address := fmt.Sprintf("rtp://%s", probe.LocalAddr())
		probe.Close()
		conn, err := listenUDP(address)
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
	// Eleven attempts take 8 s each but for the first five of 0.25 to 4 s.
	want = append(want, make([]float32, int(8000*(0.25+0.5+1+2+4+6*8)))...)
	if !slices.Equal(got, want) {
		t.Errorf("%d samples, want %d", len(got), len(want))
	}
	if !strings.Contains(wantError(t, err, "tcp").Error(), "11 attempts") {
		t.Error(err)
	}
	if r := src.Report(); r != "the connection was made again, times: 1; 59.52 s of silence between" {
		t.Error(r)
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
