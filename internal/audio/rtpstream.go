package audio

import (
	"fmt"
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
	// A timestamp is believed up to this far from where the stream is. Beyond it, and of another sender (SSRC), so many
	// packets in sequence are wanted (RFC 3550 appendix A.1 has two), and then the clock tells how long the hole was.
	rtpJump      = 2 * time.Second
	rtpProbation = 3
	// When nothing comes for so long, silence goes on, this far behind the clock.
	rtpIdle = 2 * time.Second
	// A stream may be so much faster than the clock, and so far ahead of it; a sender's crystal is good to 0.01 %.
	rtpFast  = 0.01
	rtpAhead = 5 * time.Second
	// Duplicates are recognised this many packets back; a power of two.
	rtpRecent = 512
)

// rtpPacket is a packet in its place in the stream.
type rtpPacket struct {
	sequence  uint16
	ssrc      uint32
	timestamp uint32
	at        time.Time // of arrival
	pos       int64     // frame of the stream
	payload   []byte
}

// rtpStats is what has happened.
type rtpStats struct {
	packets, lost, late, duplicates, bad, foreign, changes int64
	silence                                                int64 // frames
}

// rtpStream puts the packets of an RTP session (RFC 3550) in order, and silence where they are missing. It is told the
// time and knows no network. Frame 0 is the first one of the first packet.
type rtpStream struct {
	rate    float64
	frame   int // bytes
	payload uint8
	start   time.Time // of frame 0 by the clock

	next         int64  // frame to deliver next
	nextSequence uint16 // that follows what was delivered last
	begun        bool   // something was delivered
	newest       rtpPacket
	waiting      []rtpPacket       // in order of pos
	candidates   []rtpPacket       // in sequence, of a stream that this one might become
	recent       [rtpRecent]uint64 // sequence number + 1 and timestamp
	free         [][]byte          // payloads to use again

	sync.Mutex // of stats
	stats      rtpStats
}

func (s *rtpStream) frames(p *rtpPacket) int64 { return int64(len(p.payload) / s.frame) }

// push takes a datagram that arrived at a time. It reports whether that was a packet of audio.
func (s *rtpStream) push(b []byte, at time.Time) bool {
	var p rtp.Packet
	ok := p.Unmarshal(b) == nil && p.Version == 2 && p.PayloadType == s.payload && len(p.Payload) > 0 && len(p.Payload)%s.frame == 0
	s.Lock()
	defer s.Unlock()
	if !ok {
		s.stats.bad++
		return false
	}
	q := rtpPacket{sequence: p.SequenceNumber, ssrc: p.SSRC, timestamp: p.Timestamp, at: at, payload: p.Payload}
	if s.newest.payload == nil {
		s.start = at.Add(-time.Duration(float64(s.frames(&q)) / s.rate * 1e9))
	} else if !s.fits(&q) {
		s.candidate(&q)
		return true
	}
	s.candidates = s.candidates[:0]
	s.insert(q)
	return true
}

// fits finds the place of a packet of the stream, or tells that it belongs to none.
func (s *rtpStream) fits(p *rtpPacket) bool {
	if p.ssrc != s.newest.ssrc {
		s.stats.foreign++
		return false
	}
	p.pos = s.newest.pos + int64(int32(p.timestamp-s.newest.timestamp))
	jump := framesIn(s.rate, rtpJump)
	clock := float64(framesIn(s.rate, p.at.Sub(s.start)))*(1+rtpFast) + float64(framesIn(s.rate, rtpAhead))
	return p.pos >= s.newest.pos-jump && p.pos <= s.newest.pos+s.frames(&s.newest)+jump && float64(p.pos) <= clock
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

// candidate takes a packet that does not fit. After some in sequence, the stream goes on with them.
func (s *rtpStream) candidate(p *rtpPacket) {
	if n := len(s.candidates); n > 0 {
		last := &s.candidates[n-1]
		if p.ssrc != last.ssrc || p.sequence != last.sequence+1 || p.timestamp-last.timestamp != uint32(s.frames(last)) {
			s.candidates = s.candidates[:0]
		}
	}
	c := *p
	c.payload = slices.Clone(p.payload)
	s.candidates = append(s.candidates, c)
	if len(s.candidates) < rtpProbation {
		return
	}
	// The hole is as long as the clock says; or as the timestamps of the same sender say, if that is about the same.
	first := &s.candidates[0]
	end := s.newest.pos + s.frames(&s.newest)
	pos := max(end, end+framesIn(s.rate, first.at.Sub(s.newest.at))-s.frames(first))
	if first.ssrc == s.newest.ssrc {
		stated := s.newest.pos + int64(int32(first.timestamp-s.newest.timestamp))
		if d := stated - pos; d > -framesIn(s.rate, time.Second) && d < framesIn(s.rate, time.Second) {
			pos = stated
		}
	} else {
		s.stats.changes++
		s.stats.foreign -= int64(len(s.candidates)) // they were not
	}
	pos = max(pos, s.next)
	clear(s.recent[:])
	s.newest.payload = nil // the first one becomes the newest
	for _, c := range s.candidates {
		c.pos = pos
		pos += s.frames(&c)
		s.insert(c)
	}
	s.candidates = s.candidates[:0]
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

// idle gives the silence that is due by the clock when nothing has come for long.
func (s *rtpStream) idle(now time.Time) (silence int64) {
	s.Lock()
	defer s.Unlock()
	if s.newest.payload == nil || len(s.waiting) > 0 {
		return 0
	}
	due := s.newest.pos + s.frames(&s.newest) + framesIn(s.rate, now.Sub(s.newest.at)-rtpIdle)
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
	}{{c.late, "late"}, {c.duplicates, "twice"}, {c.bad, "unusable"}, {c.foreign, "of another sender"}} {
		if n.count > 0 {
			text += fmt.Sprintf(", %d %s", n.count, n.what)
		}
	}
	if c.changes > 0 {
		text += fmt.Sprintf("; the sender changed, times: %d", c.changes)
	}
	return text
}
