package audio

import (
	"io"
	"net/netip"
	"slices"
	"strings"
	"testing"
	"time"
)

// byTime puts datagrams of several senders into the order in which they arrive.
func byTime(all ...[]datagram) *script {
	s := &script{left: slices.Concat(all...)}
	slices.SortStableFunc(s.left, func(a, b datagram) int { return int(a.after - b.after) })
	return s
}

// rtcp is a sender report (RFC 3550 section 6.4.1) as far as anyone looks at it.
var rtcp = append([]byte{2 << 6, 200, 0, 6}, make([]byte, 24)...)

// Control packets, another payload type and a lone packet of somebody come first: the session is heard all the same.
func TestRTPStraysFirst(t *testing.T) {
	x := sentence(50 * packetFrames)
	for name, strays := range map[string][]datagram{
		"control":      {{b: rtcp}, {b: rtcp}, {b: rtcp}, {b: rtcp}},
		"payload type": {{b: rtpBytes(0, 1, 1, 7, 1, 2)}, {b: rtpBytes(0, 2, 3, 7, 1, 2)}},
		"another":      {{b: rtpBytes(96, 1, 1, 7, 1, 2)}, {b: rtpBytes(96, 2, 3, 8, 1, 2)}, {b: rtpBytes(96, 900, 5, 7, 1, 2)}},
		"no packet":    {{b: []byte("hello")}, {b: []byte{}}},
	} {
		got, src := hear(t, &script{left: append(strays, packets(x, 0, 0, 1, 0)...)}, Options{})
		if !slices.Equal(got, x) {
			t.Errorf("%s: %d samples, want %d: %s", name, len(got), len(x), src.Report())
		}
		if name == "control" && strings.Contains(src.Report(), "unusable") {
			t.Error(src.Report())
		}
	}
}

// A session is its sender's as long as that lives, be the other one's SSRC the same; then it is the other one's, and
// nothing of that is lost from then on.
func TestRTPLivingSender(t *testing.T) {
	x, y := sentence(500*packetFrames), sentence(700*packetFrames)
	slices.Reverse(y)
	for _, ssrc := range []uint32{1, 2} {
		other := packets(y, 7000, 1<<20, ssrc, 3*time.Millisecond)
		for i := range other {
			other[i].from = netip.MustParseAddrPort("192.0.2.1:7000")
		}
		got, src := hear(t, byTime(packets(x, 0, 0, 1, 0), other), Options{})
		want := slices.Concat(x, make([]int16, 24), y[len(x):]) // 3 ms later
		if !slices.Equal(got, want) {
			t.Errorf("SSRC %d: %d samples, want %d: %s", ssrc, len(got), len(want), src.Report())
		}
	}
}

// A sender may be silent and its timestamps with it: nothing is lost, and what comes then is where it arrived.
func TestRTPPauseWithoutTimestamps(t *testing.T) {
	x := sentence(1000 * packetFrames)
	for _, pause := range []time.Duration{100, 1000, 1900, 2500, 3000, 4000, 10000, 60000} {
		pause *= time.Millisecond
		s := &script{left: packets(x, 0, 0, 1, 0)}
		half := len(s.left) / 2
		for i := range s.left[half:] {
			s.left[half+i].after += pause
		}
		var nothing []datagram
		for at := s.left[half-1].after + rtpPoll; at < s.left[half].after; at += rtpPoll {
			nothing = append(nothing, datagram{after: at})
		}
		s.left = slices.Concat(s.left[:half:half], nothing, s.left[half:])
		got, src := hear(t, s, Options{})
		heard := slices.DeleteFunc(slices.Clone(got), func(v int16) bool { return v == 0 })
		if !slices.Equal(heard, x) {
			t.Errorf("%v: %d samples are heard, want %d: %s", pause, len(heard), len(x), src.Report())
		}
		// The last sample was sent at the end.
		if d := (20*time.Second + pause).Seconds() - float64(len(got))/8000; d < -0.25 || d > rtpAstray.Seconds() || pause > 3*time.Second && d > 0.25 {
			t.Errorf("%v: the stream ends %.2f s before the clock: %s", pause, d, src.Report())
		}
	}
}

// After a hold-up in the network, when all comes at once, everything is in its place; lost is only what silence has taken
// the place of.
func TestRTPHoldUp(t *testing.T) {
	x := sentence(1000 * packetFrames)
	for _, hold := range []time.Duration{time.Second, 1900 * time.Millisecond, 5 * time.Second} {
		s := &script{left: packets(x, 0, 0, 1, 0)}
		until := 10*time.Second + hold
		var nothing []datagram
		for at := 10*time.Second + rtpPoll; at < until; at += rtpPoll {
			nothing = append(nothing, datagram{after: at})
		}
		s.left = slices.Insert(s.left, 500, nothing...)
		for i := 500 + len(nothing); s.left[i].after < until; i++ {
			s.left[i].after = until
		}
		got, src := hear(t, s, Options{})
		silent := int(max(0, (hold-1).Truncate(rtpPoll)-rtpIdle).Seconds() * 8000)
		want := slices.Clone(x)
		clear(want[500*packetFrames:][:silent])
		if !slices.Equal(got, want) {
			t.Errorf("%v: %d samples, want %d: %s", hold, len(got), len(want), src.Report())
		}
	}
}

// However fast or slow the timestamps are, the stream keeps to the clock; a sender with a good crystal is left alone.
func TestRTPKeepsToTheClock(t *testing.T) {
	const frames, rate = 1600, 8000 // 200 ms
	for _, ppm := range []float64{-500_000, -3000, -100, 100, 3000, 500_000} {
		src := &Source{name: "rtp", length: -1, held: -1}
		s := &script{}
		sound := sentence(frames)
		for i := range 9000 { // half an hour
			after := time.Duration(float64(i+1) * 0.2 / (1 + ppm*1e-6) * 1e9)
			s.left = append(s.left, datagram{after: after, b: rtpBytes(96, uint16(i), uint32(i*frames), 1, sound[:frames]...)})
		}
		times := slices.Clone(s.left)
		if err := src.openRTP(s, Options{Rate: rate}); err != nil {
			t.Fatal(err)
		}
		feed := src.reader.(*liveReader).feed.(*rtpFeed)
		total, worst := int64(0), 0.0
		for {
			data, silence, err := feed.next()
			if err == io.EOF {
				break
			}
			total += int64(len(data)/2) + silence
			now := times[len(times)-len(s.left)-1].after - feed.stream.start.Sub(began)
			worst = max(worst, float64(total)/rate-now.Seconds(), now.Seconds()-float64(total)/rate)
		}
		resets := feed.stream.stats.resets
		if worst > 2*rtpAstray.Seconds() || (resets == 0) != (ppm > -200 && ppm < 200) {
			t.Errorf("%g millionths: %.2f s from the clock, set right %d times: %s", ppm, worst, resets, src.Report())
		}
	}
}

// Strangers' packets do not keep silence from going on when the sender is dead.
func TestRTPStrangersDoNotStopTheClock(t *testing.T) {
	x := sentence(50 * packetFrames)
	s := &script{left: packets(x, 0, 0, 1, 0)}
	for at := time.Second; at < 11*time.Second; at += 50 * time.Millisecond {
		s.left = append(s.left, datagram{after: at, b: rtcp}, datagram{after: at, b: rtpBytes(96, uint16(at), uint32(at), 3, 1)})
	}
	src := &Source{name: "rtp", length: -1, held: -1}
	if err := src.openRTP(s, Options{Rate: 8000}); err != nil {
		t.Fatal(err)
	}
	feed := src.reader.(*liveReader).feed
	total := int64(0)
	for len(s.left) > 0 {
		data, silence, err := feed.next()
		if err != nil {
			break
		}
		total += int64(len(data)/2) + silence
	}
	if seconds := float64(total) / 8000; seconds < 8 || seconds > 11 {
		t.Errorf("%.2f s after 11 s", seconds)
	}
}

// A sender that takes the place of another begins its sequence anywhere (RFC 3550 section 5.1), and has lost nothing by that.
func TestRTPNextSender(t *testing.T) {
	x := sentence(100 * packetFrames)
	s := &script{left: append(packets(x, 100, 0, 1, 0), packets(x, 7000, 99, 2, 6*time.Second)...)}
	_, src := hear(t, s, Options{})
	if r := src.Report(); !strings.Contains(r, " 0 lost") || !strings.Contains(r, "the sender changed, times: 1") {
		t.Error(r)
	}
}
