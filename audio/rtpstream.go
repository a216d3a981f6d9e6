package audio

import (
	"fmt"
	"math"
	"net/netip"
	"slices"
	"sync"
	"time"

	"github.com/pion/rtp"
)

// Payload types of L16, 16-bit samples with the highest byte first, left before right (RFC 3551 sections 4.5.11 and 6);
// dynamic ones begin at 96 and state nothing about themselves.
const (
	payloadL16Stereo = 10 // 44.1 kHz
	payloadL16Mono   = 11 // 44.1 kHz
	payloadDynamic   = 96
	staticRate       = 44100
)

// Limits of an rtpStream.
const (
	// A packet that is missing is waited for until packets of this length have come after it, or rtpWaiting of them:
	// networks deliver in order but for some milliseconds, and a sender's packets are 1 to 200 ms long (common practice).
	rtpPatience = 250 * time.Millisecond
	rtpWaiting  = 64
	// A timestamp is believed up to this far from where the stream is. Beyond it, and of another sender, so many packets
	// in sequence are wanted (RFC 3550 appendix A.1 has two), and then the clock tells how long the hole was.
	rtpJump      = 2 * time.Second
	rtpProbation = 3
	// A sender of which nothing has come for so long lives no more, and another may take its place.
	rtpDead = time.Second
	// When nothing comes for so long, silence goes on, this far behind the clock.
	rtpIdle = 2 * time.Second
	// By arrival, the stream is at most so far ahead, or for a window of this length behind. Then it is set right by as
	// much, which is a whole number of lines of a chart at 60, 90, 120 and 240 a minute, so that one keeps its edge.
	rtpAstray = 2 * time.Second
	// In each such window what is expected follows by so much: a sender's clock may be 500 millionths off, five times what
	// crystals keep to, and is never set right.
	rtpFollow = rtpAstray / 2000
	// Duplicates are recognised this many packets back; a power of two.
	rtpRecent = 512
	// So many senders besides the one that is heard are listened to, and rtpWaiting packets of theirs kept, or what came in
	// rtpKept.
	rtpRivals = 4
	rtpKept   = rtpDead + rtpIdle
)

// rtpPacket is a packet in its place in the stream.
type rtpPacket struct {
	rtpSender
	sequence  uint16
	timestamp uint32
	at        time.Time // of arrival
	pos       int64     // frame of the stream
	payload   []byte
}

// rtpStats is what has happened.
type rtpStats struct {
	packets, lost, late, early, duplicates, bad, foreign, changes, resets int64
	silence                                                               int64 // frames
}

// rtpStream puts the packets of an RTP session (RFC 3550) in order, and silence where they are missing. It is told the
// time and knows no network. Frame 0 is the first one of the first packet.
//
// The session is that of one sender as long as it lives. Its timestamps tell where its packets belong, as long as that
// is where they are by arrival, within rtpAstray.
type rtpStream struct {
	rate    float64
	frame   int // bytes
	payload uint8
	start   time.Time // of frame 0 by the clock, as the sender's would have it

	next         int64  // frame to deliver next
	nextSequence uint16 // that follows what was delivered last
	begun        bool   // something was delivered
	newest       rtpPacket
	heard        time.Time         // when something came of the sender
	lag          int64             // least number of frames by which packets came later than they should, since lagSince
	lagSince     time.Time         //
	waiting      []rtpPacket       // in order of pos
	rivals       [][]rtpPacket     // of a sender each: of streams that this one might become; the sender's own too
	recent       [rtpRecent]uint64 // sequence number + 1 and timestamp
	free         [][]byte          // payloads to use again

	sync.Mutex // of stats
	stats      rtpStats
}

// parseRTP reads a packet that has a payload.
func parseRTP(b []byte) (p rtp.Packet, ok bool) {
	ok = p.Unmarshal(b) == nil && p.Version == 2 && len(p.Payload) > 0 && !isRTCP(b)
	return p, ok
}

func (s *rtpStream) frames(p *rtpPacket) int64 { return int64(len(p.payload) / s.frame) }

// push takes a datagram that arrived at a time. It reports whether that was a packet of audio.
func (s *rtpStream) push(b []byte, from netip.AddrPort, at time.Time) bool {
	p, ok := parseRTP(b)
	s.Lock()
	defer s.Unlock()
	if !ok || p.PayloadType != s.payload || len(p.Payload)%s.frame != 0 {
		if !isRTCP(b) {
			s.stats.bad++
		}
		return false
	}
	q := rtpPacket{rtpSender: rtpSender{sameForm(from), p.SSRC}, sequence: p.SequenceNumber, timestamp: p.Timestamp, at: at, payload: p.Payload}
	switch {
	case s.newest.payload == nil:
		s.start, s.heard, s.lagSince, s.lag = at.Add(-s.duration(s.frames(&q))), at, at, math.MaxInt64
	case q.rtpSender != s.newest.rtpSender:
		s.stats.foreign++
		s.rival(&q)
		return true
	default:
		s.heard = at
		if !s.fits(&q) {
			s.rival(&q)
			return true
		}
		s.forget(q.rtpSender)
		s.follow(&q)
	}
	s.insert(q)
	return true
}

func (s *rtpStream) duration(frames int64) time.Duration {
	return time.Duration(float64(frames) / s.rate * 1e9)
}

// arrived is where a packet belongs by the clock.
func (s *rtpStream) arrived(p *rtpPacket) int64 {
	return framesIn(s.rate, p.at.Sub(s.start)) - s.frames(p)
}

// early tells whether the place of a packet is ahead of the clock.
func (s *rtpStream) early(p *rtpPacket) bool { return p.pos > s.arrived(p)+framesIn(s.rate, rtpAstray) }

// end is where the stream has come to.
func (s *rtpStream) end() int64 { return s.newest.pos + s.frames(&s.newest) }

// fits finds the place of a packet of the sender by its timestamp, or tells that it is not to be believed: it is far from
// where the stream is, or ahead of the clock; or the sender goes on where it was although silence has taken the place.
func (s *rtpStream) fits(p *rtpPacket) bool {
	p.pos = s.newest.pos + int64(int32(p.timestamp-s.newest.timestamp))
	jump := framesIn(s.rate, rtpJump)
	if p.pos < s.newest.pos-jump || p.pos > s.end()+jump || s.early(p) {
		return false
	}
	return p.pos < s.end() || p.pos+s.frames(p) > s.next
}

// follow has the stream follow the clock. Packets come late after a hold-up in the network, but then faster than they
// sound; if for a while none was where it belongs, the sender has been silent or its clock is slow.
func (s *rtpStream) follow(p *rtpPacket) {
	s.lag = min(s.lag, s.arrived(p)-p.pos)
	if p.at.Sub(s.lagSince) < rtpAstray {
		return
	}
	if s.lag >= framesIn(s.rate, rtpAstray) {
		p.pos += s.lag
		s.stats.resets++
	} else {
		s.start = s.start.Add(min(max(s.duration(s.lag), -rtpFollow), rtpFollow))
	}
	s.lagSince, s.lag = p.at, math.MaxInt64
}

// insert puts a packet that has its place among those that wait.
func (s *rtpStream) insert(p rtpPacket) {
	s.stats.packets++
	key := (uint64(p.sequence)+1)<<32 | uint64(p.timestamp)
	r := &s.recent[p.sequence%rtpRecent]
	if *r == key {
		s.stats.duplicates++
		return
	}
	*r = key
	if p.pos+s.frames(&p) <= s.next {
		s.stats.late++
		return
	}
	var b []byte
	if n := len(s.free); n > 0 {
		b, s.free = s.free[n-1], s.free[:n-1]
	}
	p.payload = append(b[:0], p.payload...)
	i, _ := slices.BinarySearchFunc(s.waiting, p.pos, func(w rtpPacket, pos int64) int {
		if w.pos > pos {
			return 1
		}
		return -1
	})
	s.waiting = slices.Insert(s.waiting, i, p)
	if s.newest.payload == nil || p.pos > s.newest.pos {
		s.newest = p
	}
}

// rival takes a packet that does not fit. The stream may go on with its sender.
func (s *rtpStream) rival(p *rtpPacket) {
	i := slices.IndexFunc(s.rivals, func(run []rtpPacket) bool { return run[0].rtpSender == p.rtpSender })
	if i < 0 {
		if len(s.rivals) == rtpRivals {
			s.rivals = slices.Delete(s.rivals, 0, 1)
		}
		s.rivals = append(s.rivals, nil)
		i = len(s.rivals) - 1
	}
	run := s.rivals[i]
	if n := len(run); n > 0 {
		last := &run[n-1]
		step := int64(int32(p.timestamp - last.timestamp))
		if d := p.sequence - last.sequence; d == 0 || d > rtpWaiting || step <= 0 || step > framesIn(s.rate, rtpJump) {
			run = run[:0]
		}
	}
	c := *p
	c.payload = slices.Clone(p.payload)
	run = append(run, c)
	for len(run) > rtpWaiting && p.at.Sub(run[0].at) > rtpKept {
		s.drop(&run[0])
		run = slices.Delete(run, 0, 1)
	}
	s.rivals[i] = run
	s.promote(run, p.at)
}

// drop counts a packet that comes to nothing.
func (s *rtpStream) drop(p *rtpPacket) {
	switch {
	case p.rtpSender != s.newest.rtpSender: // counted already
	case s.early(p):
		s.stats.early++
	default:
		s.stats.late++
	}
}

func (s *rtpStream) forget(who rtpSender) {
	if len(s.rivals) > 0 {
		s.rivals = slices.DeleteFunc(s.rivals, func(run []rtpPacket) bool { return run[0].rtpSender == who })
	}
}

// promote has the stream go on with the packets of a rival, if they are to be believed by now: enough in sequence; of
// another sender, when the one that is heard lives no more; of that one itself, when they do not only come late, all at
// once after a hold-up in the network.
func (s *rtpStream) promote(run []rtpPacket, now time.Time) {
	if len(run) < rtpProbation {
		return
	}
	first, last := &run[0], &run[len(run)-1]
	own := first.rtpSender == s.newest.rtpSender
	jump := framesIn(s.rate, rtpJump)
	stated := first.pos
	switch {
	case !own:
		if now.Sub(s.heard) < rtpDead {
			return
		}
	case s.early(last):
	case stated >= s.newest.pos-jump && stated < s.next: // the sender goes on where it was
		sounds := s.duration(int64(int32(last.timestamp - first.timestamp)))
		if sounds < rtpPatience {
			return
		}
		if last.at.Sub(first.at) < sounds/2 {
			for i := range run {
				s.drop(&run[i])
			}
			s.newest = *last // by which the next ones are placed
			s.forget(first.rtpSender)
			return
		}
	}
	// The hole is as long as the clock says, or as the sender says, if that is about the same. What came before the stream
	// was at its end, by more than half a packet, has no place.
	from := max(s.end(), s.next)
	k := slices.IndexFunc(run, func(p rtpPacket) bool { return s.arrived(&p) >= from-s.frames(&p)/2 })
	if k < 0 {
		return
	}
	pos := s.arrived(&run[k])
	if d := run[k].pos - pos; own && d > -framesIn(s.rate, time.Second) && d < framesIn(s.rate, time.Second) {
		pos = run[k].pos
	}
	pos = max(from, pos)
	if own {
		for i := range run[:k] {
			s.drop(&run[i])
		}
		s.stats.resets++
	} else {
		s.stats.changes++
		s.stats.foreign -= int64(len(run)) // they were not
		s.begun = false                    // its sequence has nothing to do with that before
	}
	s.forget(first.rtpSender)
	clear(s.recent[:])
	s.newest.payload = nil // the first one becomes the newest
	s.heard, s.lagSince, s.lag = last.at, last.at, math.MaxInt64
	zero := run[k].timestamp
	for _, c := range run[k:] {
		c.pos = pos + int64(int32(c.timestamp-zero))
		if s.early(&c) {
			s.stats.early++
			continue
		}
		s.insert(c)
	}
}

// pop gives what is next: the bytes of a packet, valid until the next call, or silence; or nothing yet.
func (s *rtpStream) pop(buf []byte) (data []byte, silence int64) {
	s.Lock()
	defer s.Unlock()
	for len(s.waiting) > 0 {
		p := s.waiting[0]
		if gap := p.pos - s.next; gap > 0 {
			// If no packet is missing, the sender itself has paused.
			paused := s.begun && p.sequence == s.nextSequence
			if !paused && len(s.waiting) < rtpWaiting && s.newest.pos+s.frames(&s.newest)-s.next < framesIn(s.rate, rtpPatience) {
				return nil, 0
			}
			return nil, s.skip(gap)
		}
		s.waiting = slices.Delete(s.waiting, 0, 1)
		s.free = append(s.free, p.payload)
		from := (s.next - p.pos) * int64(s.frame)
		if from >= int64(len(p.payload)) { // the rest of an overlap
			continue
		}
		if missing := p.sequence - s.nextSequence; s.begun && missing < 1<<15 {
			s.stats.lost += int64(missing)
		}
		s.next = p.pos + s.frames(&p)
		s.nextSequence, s.begun = p.sequence+1, true
		return append(buf[:0], p.payload[from:]...), 0
	}
	return nil, 0
}

func (s *rtpStream) skip(frames int64) int64 {
	s.next += frames
	s.stats.silence += frames
	return frames
}

// idle gives the silence that is due by the clock when nothing has come of the sender for long.
func (s *rtpStream) idle(now time.Time) (silence int64) {
	s.Lock()
	defer s.Unlock()
	if s.newest.payload == nil || len(s.waiting) > 0 {
		return 0
	}
	for _, run := range s.rivals {
		if s.promote(run, now); len(s.waiting) > 0 {
			return 0
		}
	}
	due := s.end() + framesIn(s.rate, now.Sub(s.heard)-rtpIdle)
	return s.skip(max(0, due-s.next))
}

// release gives up waiting for what is missing, when nothing comes any more.
func (s *rtpStream) release(buf []byte) (data []byte, silence int64) {
	if len(s.waiting) > 0 && s.waiting[0].pos > s.next {
		s.Lock()
		defer s.Unlock()
		return nil, s.skip(s.waiting[0].pos - s.next)
	}
	return s.pop(buf)
}

func (s *rtpStream) report() string {
	s.Lock()
	defer s.Unlock()
	c := s.stats
	text := fmt.Sprintf("%d packets, %d lost", c.packets, c.lost)
	if c.silence > 0 {
		text += fmt.Sprintf(", %.2f s of silence put in", float64(c.silence)/s.rate)
	}
	for _, n := range []struct {
		count int64
		what  string
	}{{c.late, "late"}, {c.early, "too early"}, {c.duplicates, "twice"}, {c.bad, "unusable"}, {c.foreign, "of another sender"}} {
		if n.count > 0 {
			text += fmt.Sprintf(", %d %s", n.count, n.what)
		}
	}
	if c.resets > 0 {
		text += fmt.Sprintf("; set right by the clock, times: %d", c.resets)
	}
	if c.changes > 0 {
		text += fmt.Sprintf("; the sender changed, times: %d", c.changes)
	}
	return text
}
