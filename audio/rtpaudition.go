package audio

import (
	"net/netip"
	"slices"
	"time"
)

// rtpSender is who sends. The address belongs to it: not every sender draws its SSRC at random (RFC 3550 section 8.1).
type rtpSender struct {
	from netip.AddrPort
	ssrc uint32
}

// rtpAudition waits for somebody who sends: a single packet may be a stray one, and says nothing.
type rtpAudition struct{ heard []rtpCandidate }

// rtpCandidate is somebody who may be sending the session.
type rtpCandidate struct {
	rtpSender
	payload  uint8 // type
	sequence uint16
	packets  []rtpDatagram
}

type rtpDatagram struct {
	b  []byte
	at time.Time
}

// mostCandidates bounds memory.
const mostCandidates = 16

// hear takes a datagram. It gives the sender of which enough packets have come that belong together; bad tells that it
// was nothing of use.
func (a *rtpAudition) hear(b []byte, from netip.AddrPort, at time.Time) (first *rtpCandidate, bad bool) {
	p, ok := parseRTP(b)
	if !ok {
		return nil, !isRTCP(b)
	}
	from = sameForm(from)
	i := slices.IndexFunc(a.heard, func(c rtpCandidate) bool {
		return c.from == from && c.ssrc == p.SSRC && c.payload == p.PayloadType
	})
	if i < 0 {
		if len(a.heard) == mostCandidates {
			a.heard = slices.Delete(a.heard, 0, 1)
		}
		a.heard = append(a.heard, rtpCandidate{rtpSender: rtpSender{from, p.SSRC}, payload: p.PayloadType})
		i = len(a.heard) - 1
	}
	c := &a.heard[i]
	if step := p.SequenceNumber - c.sequence; len(c.packets) > 0 && min(step, -step) > rtpWaiting {
		c.packets = c.packets[:0]
	}
	c.sequence = p.SequenceNumber
	c.packets = append(c.packets, rtpDatagram{slices.Clone(b), at})
	if len(c.packets) < rtpProbation {
		return nil, false
	}
	found := *c
	a.heard = slices.Delete(a.heard, i, i+1)
	return &found, false
}

// sameForm gives an address one form, whatever kind of socket it came by.
func sameForm(a netip.AddrPort) netip.AddrPort { return netip.AddrPortFrom(a.Addr().Unmap(), a.Port()) }

// isRTCP tells control packets, which may come to the same port: their second byte is that of no RTP audio (RFC 5761
// section 4).
func isRTCP(b []byte) bool { return len(b) >= 8 && b[0]>>6 == 2 && b[1] >= 192 && b[1] <= 223 }
