package audio

import (
	"encoding/binary"
	"io"
	"math/rand/v2"
	"net"
	"net/netip"
	"os"
	"slices"
	"strings"
	"testing"
	"time"
)

var began = time.Date(2031, 5, 3, 6, 0, 0, 0, time.UTC)

// datagram is one that arrives at a time after began; without bytes nothing comes until then.
type datagram struct {
	after time.Duration
	b     []byte
	from  netip.AddrPort
}

// script is datagrams by a timetable, and then the end.
type script struct {
	left   []datagram
	closed bool
}

func (s *script) receive(buf []byte, wait time.Duration) (int, netip.AddrPort, time.Time, error) {
	if len(s.left) == 0 || s.closed {
		return 0, netip.AddrPort{}, time.Time{}, net.ErrClosed
	}
	d := s.left[0]
	s.left = s.left[1:]
	if d.b == nil {
		return 0, d.from, began.Add(d.after), os.ErrDeadlineExceeded
	}
	return copy(buf, d.b), d.from, began.Add(d.after), nil
}

func (s *script) Close() error { s.closed = true; return nil }

// rtpBytes lays a packet of 16-bit samples out by hand (RFC 3550 section 5.1, RFC 3551 section 4.5.11).
func rtpBytes(payload uint8, sequence uint16, timestamp, ssrc uint32, x ...int16) []byte {
	be := binary.BigEndian
	b := be.AppendUint16([]byte{2 << 6, payload}, sequence)
	b = be.AppendUint32(be.AppendUint32(b, timestamp), ssrc)
	for _, v := range x {
		b = be.AppendUint16(b, uint16(v))
	}
	return b
}

// sentence is n samples that tell by their value which they are; none is 0.
func sentence(n int) []int16 {
	x := make([]int16, n)
	for i := range x {
		x[i] = int16(i%30000 + 1)
	}
	return x
}

// hear reads all that a script gives, at 8 kHz unless the options say otherwise.
func hear(t *testing.T, s *script, o Options) ([]int16, *Source) {
	t.Helper()
	if o.Rate == 0 {
		o.Rate = 8000
	}
	src := &Source{name: "rtp", length: -1, held: -1}
	if err := src.openRTP(s, o); err != nil {
		t.Fatal(err)
	}
	x, err := readAll(t, src, 333)
	if err != nil {
		t.Fatal(err)
	}
	y := make([]int16, len(x))
	for i, v := range x {
		y[i] = int16(v * (1 << 15))
	}
	return y, src
}

const packetFrames = 160 // 20 ms at 8 kHz

// packets cuts x into packets of payload type 96, the first one numbered and timed as given; packet i arrives when its
// last sample has been recorded.
func packets(x []int16, sequence uint16, timestamp, ssrc uint32, from time.Duration) (all []datagram) {
	for i := 0; i*packetFrames < len(x); i++ {
		all = append(all, datagram{
			after: from + time.Duration(i+1)*20*time.Millisecond,
			b:     rtpBytes(96, sequence+uint16(i), timestamp+uint32(i*packetFrames), ssrc, x[i*packetFrames:][:packetFrames]...),
		})
	}
	return all
}

// A bad network loses 5 %, doubles 3 % and brings 10 % late by up to four packets: what was not lost is exact and in
// its place, what was lost is silence, and all is counted. Sequence numbers and timestamps wrap on the way.
func TestRTPBadNetwork(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 7))
	const count = 3000
	sent := sentence(count * packetFrames)
	want := slices.Clone(sent)
	var lost, twice int64
	type turn struct {
		order float64
		datagram
	}
	var turns []turn
	for i, d := range packets(sent, 65000, 1<<32-100*packetFrames, 0xfeedbeef, 0) {
		if i > 0 && i < count-1 && r.Float64() < 0.05 {
			clear(want[i*packetFrames:][:packetFrames])
			lost++
			continue
		}
		order := float64(i)
		if r.Float64() < 0.1 && i > 0 {
			order += 4.5 * r.Float64()
		}
		turns = append(turns, turn{order, d})
		if r.Float64() < 0.03 {
			turns = append(turns, turn{order + 6*r.Float64(), d})
			twice++
		}
	}
	slices.SortStableFunc(turns, func(a, b turn) int {
		if a.order < b.order {
			return -1
		}
		return 1
	})
	s := &script{}
	for i, d := range turns {
		d.after = time.Duration(i) * 20 * time.Millisecond
		s.left = append(s.left, d.datagram)
	}
	got, src := hear(t, s, Options{})
	if !slices.Equal(got, want) {
		for i := range min(len(got), len(want)) {
			if got[i] != want[i] {
				t.Fatalf("sample %d is %d, want %d", i, got[i], want[i])
			}
		}
		t.Fatalf("%d samples, want %d", len(got), len(want))
	}
	stats := src.reader.(*liveReader).feed.(*rtpFeed).stream.stats
	if stats.lost != lost || stats.duplicates != twice || stats.silence != lost*packetFrames || stats.late != 0 || stats.bad != 0 {
		t.Errorf("%+v, want %d lost, %d twice", stats, lost, twice)
	}
	if lost < 100 || twice < 50 {
		t.Errorf("only %d lost, %d twice", lost, twice)
	}
	t.Log(src.Report())
}

// The first sample's instant is one packet before the first packet came.
func TestRTPStart(t *testing.T) {
	_, src := hear(t, &script{left: packets(sentence(3*packetFrames), 1, 1, 1, time.Second)}, Options{})
	if want := began.Add(time.Second); !src.Start().Equal(want) || src.StartFrom() != FromClock {
		t.Errorf("start %v by %s, want %v", src.Start(), src.StartFrom(), want)
	}
	order := began.Add(time.Hour)
	if _, src = hear(t, &script{left: packets(sentence(3*packetFrames), 1, 1, 1, 0)}, Options{Start: order}); !src.Start().Equal(order) {
		t.Errorf("ordered start: %v", src.Start())
	}
}

// Holes of all kinds keep the timeline: after them the samples are as far from the first one as the clock says.
func TestRTPHoles(t *testing.T) {
	x := sentence(50 * packetFrames)
	second := time.Second
	for _, c := range []struct {
		name      string
		sequence  uint16
		timestamp uint32
		ssrc      uint32
		from      time.Duration // where the second part begins by the clock
		want      time.Duration // and in the stream
	}{
		{"another sender at once", 9000, 77777777, 2, second, second},
		{"another sender later", 9000, 77777777, 2, 7 * second, 7 * second},
		{"a pause of the sender", 50, 50*packetFrames + 8000, 1, 2 * second, 2 * second},
		{"a network that was down", 550, 550 * packetFrames, 1, 11*second + 30*time.Millisecond, 11 * second},
		{"a jump of the timestamps", 50, 1 << 31, 1, second, second},
		{"a jump back", 50, 1<<32 - 1<<28, 1, second, second},
		{"sequence numbers from the beginning", 0, 50 * packetFrames, 1, second, second},
	} {
		s := &script{left: append(packets(x, 0, 0, 1, 0), packets(x, c.sequence, c.timestamp, c.ssrc, c.from)...)}
		got, _ := hear(t, s, Options{})
		at := int(c.want.Seconds() * 8000)
		want := append(append(slices.Clone(x), make([]int16, at-len(x))...), x...)
		if !slices.Equal(got, want) {
			where := slices.Index(got[min(len(x), len(got)):], x[0])
			t.Errorf("%s: %d samples, want %d; the second part begins at %d, want %d", c.name, len(got), len(want), where+len(x), at)
		}
	}
}

// While nothing comes, silence goes on by the clock; what comes after it is in its place.
func TestRTPIdle(t *testing.T) {
	x := sentence(50 * packetFrames)
	s := &script{left: packets(x, 0, 0, 1, 0)}
	for i := range 20 {
		s.left = append(s.left, datagram{after: time.Second + time.Duration(i+1)*rtpPoll})
	}
	src := &Source{name: "rtp", length: -1, held: -1}
	if err := src.openRTP(s, Options{Rate: 8000}); err != nil {
		t.Fatal(err)
	}
	feed := src.reader.(*liveReader).feed
	frames, silent := int64(0), int64(0)
	for len(s.left) > 0 {
		data, silence, err := feed.next()
		if err != nil {
			break
		}
		frames += int64(len(data)/2) + silence
		silent += silence
	}
	if frames != 8000+8*8000 || silent != 8*8000 { // 11 s less rtpIdle
		t.Errorf("%d frames, %d of them silence, 11 s after the beginning", frames, silent)
	}
	s = &script{left: packets(x, 0, 0, 1, 0)}
	for i := range 20 {
		s.left = append(s.left, datagram{after: time.Second + time.Duration(i+1)*rtpPoll})
	}
	s.left = append(s.left, packets(x, 550, 550*packetFrames, 1, 11*time.Second)...)
	got, _ := hear(t, s, Options{})
	if want := append(append(slices.Clone(x), make([]int16, 80000)...), x...); !slices.Equal(got, want) {
		t.Errorf("%d samples, want %d", len(got), len(want))
	}
}

// Stray packets, of another sender or with senseless numbers, do no harm.
func TestRTPStrayPackets(t *testing.T) {
	x := sentence(50 * packetFrames)
	var s script
	for i, d := range packets(x, 0, 0, 1, 0) {
		s.left = append(s.left, d)
		if i%2 == 1 {
			s.left = append(s.left,
				datagram{after: d.after, b: rtpBytes(96, uint16(i), uint32(i*packetFrames), 2, 1, 2, 3)},
				datagram{after: d.after, b: rtpBytes(96, uint16(i+1), 1<<31, 1, 1, 2, 3)},
				datagram{after: d.after, b: rtpBytes(97, uint16(i+1), 0, 1, 1, 2, 3)},                      // another payload type
				datagram{after: d.after, b: rtpBytes(96, uint16(i+1), 0, 1)},                               // no samples
				datagram{after: d.after, b: append(rtpBytes(96, uint16(i+1), 0, 1, 7), 0)},                 // half a sample
				datagram{after: d.after, b: append([]byte{2<<6 | 15}, rtpBytes(96, 0, 0, 1, 7)[1:]...)},    // 15 CSRCs that are not there
				datagram{after: d.after, b: append([]byte{2<<6 | 1<<5}, rtpBytes(96, 0, 0, 1, -1)[1:]...)}, // more padding than packet
				datagram{after: d.after, b: []byte("hello")}, datagram{after: d.after, b: []byte{}})
		}
	}
	got, src := hear(t, &s, Options{})
	if !slices.Equal(got, x) {
		t.Errorf("%d samples, want %d", len(got), len(x))
	}
	// One of the other sender came before it was known who sends.
	if r := src.Report(); r != "50 packets, 0 lost, 175 unusable, 24 of another sender" {
		t.Error(r)
	}
}

// What packets may hold: the static types state their rate and channels, others need an order.
func TestRTPPayloads(t *testing.T) {
	one := func(payload uint8) *script {
		s := &script{}
		for i := range rtpProbation {
			s.left = append(s.left, datagram{b: rtpBytes(payload, uint16(i), uint32(2*i), 1, 1, 2, 3, 4)})
		}
		return s
	}
	for _, c := range []struct {
		payload  uint8
		o        Options
		rate     float64
		channels int
		says     string
	}{
		{10, Options{}, 44100, 2, ""},
		{11, Options{Rate: 44100}, 44100, 1, ""},
		{96, Options{Rate: 48000, Channels: 2}, 48000, 2, ""},
		{10, Options{Rate: 48000}, 0, 0, "leave out --rate"},
		{96, Options{}, 0, 0, "give --rate"},
		{0, Options{}, 0, 0, "not L16"},
		{96, Options{Rate: 48000, Encoding: S16}, 0, 0, "leave out --encoding"},
		{96, Options{Rate: 48000, Channels: 9}, 0, 0, "9 channels"},
		{11, Options{IQ: IQNormal}, 0, 0, "I and Q are two"},
	} {
		src := &Source{name: "rtp", length: -1, held: -1}
		err := src.openRTP(one(c.payload), c.o)
		if c.says != "" {
			if err == nil || !strings.Contains(newError("open", "rtp", err).Error(), c.says) {
				t.Errorf("%d, %+v: %v, want %q", c.payload, c.o, err, c.says)
			}
			continue
		}
		if err != nil || src.SampleRate() != c.rate || src.Channels() != c.channels {
			t.Errorf("%d, %+v: %g Hz, %d channels, %v", c.payload, c.o, src.SampleRate(), src.Channels(), err)
		}
	}
	// I and Q come in pairs.
	src := &Source{name: "rtp", length: -1, held: -1}
	if err := src.openRTP(one(96), Options{Rate: 48000, IQ: IQNormal}); err != nil {
		t.Fatal(err)
	}
	x := make([]float32, 8)
	if n, err := src.readAny(x); n != 4 || err != nil || x[3] != 4.0/(1<<15) {
		t.Errorf("%d values, %v, %v", n, err, x)
	}
}

func TestRTPAllocations(t *testing.T) {
	x := sentence(packetFrames)
	s := rtpStream{rate: 8000, frame: 2, payload: 96}
	b := rtpBytes(96, 0, 0, 1, x...)
	var i uint16
	buf := make([]byte, 1000)
	if n := testing.AllocsPerRun(1000, func() {
		binary.BigEndian.PutUint16(b[2:], i)
		binary.BigEndian.PutUint32(b[4:], uint32(i)*packetFrames)
		s.push(b, netip.AddrPort{}, began.Add(time.Duration(i)*20*time.Millisecond))
		s.pop(buf)
		i++
	}); n != 0 {
		t.Errorf("%g allocations a packet", n)
	}
}

// FuzzRTP: whatever comes from the network, no more sound comes out than the clock allows, and it ends. An input is a few
// datagrams, six bytes each: what kind, how much later, whose, and how far sequence number and timestamp go on; or bytes
// as they are. Silence is counted, not made.
func FuzzRTP(f *testing.F) {
	f.Add([]byte{0, 20, 1, 1, 0, 160, 0, 20, 1, 1, 0, 160, 0, 20, 1, 1, 0, 160, 0, 20, 1, 1, 0, 160})                                            // a sender
	f.Add([]byte{0, 20, 1, 1, 0, 160, 0, 20, 1, 1, 0, 160, 0, 20, 1, 1, 0, 160, 1, 0, 0, 0, 0, 0, 0, 20, 2, 1, 0, 160, 0, 20, 2, 1, 0, 160})     // another
	f.Add([]byte{0, 20, 1, 1, 0, 160, 0, 20, 1, 1, 0, 160, 0, 20, 1, 2, 9, 0, 0, 20, 1, 1, 0, 160, 0, 20, 1, 1, 0, 160, 0, 20, 1, 254, 255, 96}) // jumps
	f.Add([]byte{2, 12, 0x80, 200, 0, 1, 0, 0, 0, 0, 0, 0, 0, 0, 2, 14, 0x80, 96, 0, 1, 0, 0, 0, 1, 0, 0, 0, 1, 0, 1})                           // bytes
	sound := sentence(packetFrames)
	f.Fuzz(func(t *testing.T, b []byte) {
		if len(b) > 600 {
			return
		}
		s := &script{}
		at, bytes := time.Duration(0), 0
		var sequence [4]uint16
		var timestamp [4]uint32
		for len(b) >= 6 {
			kind, rest := b[0], b[6:]
			d := datagram{after: at}
			switch kind % 4 {
			case 1: // nothing, for 0.5 s and more
				at += rtpPoll + time.Duration(b[1])*20*time.Millisecond
				d.after = at
			case 2:
				n := min(int(b[1]), len(b)-2)
				d.b, rest = b[2:2+n], b[2+n:]
			default:
				at += time.Duration(b[1]) * time.Millisecond
				who := b[2] % 4
				d.after, d.from = at, netip.AddrPortFrom(netip.IPv4Unspecified(), uint16(b[2]>>4))
				sequence[who] += uint16(int8(b[3]))
				timestamp[who] += uint32(int32(int16(binary.BigEndian.Uint16(b[4:]))))
				d.b = rtpBytes(96, sequence[who], timestamp[who], uint32(who), sound[:packetFrames>>(kind>>6)]...)
			}
			s.left = append(s.left, d)
			bytes += len(d.b)
			b = rest
		}
		src := &Source{name: "rtp", length: -1, held: -1}
		if err := src.openRTP(s, Options{Rate: 8000}); err != nil {
			return
		}
		feed := src.reader.(*liveReader).feed
		total := int64(0)
		for {
			data, silence, err := feed.next()
			if err == io.EOF {
				break
			}
			if err != nil || silence < 0 || len(data) == 0 && silence == 0 || len(data)%2 != 0 {
				t.Fatal(len(data), silence, err)
			}
			total += int64(len(data)/2) + silence
		}
		if limit := int64(bytes) + int64(8000*(at+rtpAstray+rtpJump).Seconds()); total > limit {
			t.Fatalf("%d samples of %d bytes within %v", total, bytes, at)
		}
		src.Report()
	})
}
