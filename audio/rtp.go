package audio

import (
	"errors"
	"fmt"
	"io"
	"net"
	"net/netip"
	"os"
	"time"
)

// datagrams is where packets come from.
type datagrams interface {
	// receive waits for a datagram; os.ErrDeadlineExceeded says that none came within the time.
	receive(buf []byte, wait time.Duration) (n int, from netip.AddrPort, at time.Time, err error)
	// Close ends a receive that waits: net.ErrClosed.
	Close() error
}

// udp is a socket. It listens at a local address or, if that is one of a multicast group, joins the group: on all
// interfaces, or on that of rtp://GROUP:PORT?interface=NAME.
type udp struct{ *net.UDPConn }

// rtpSocketBuffer is what the system may hold while a decoder works: more than a second at 192 kHz stereo.
const rtpSocketBuffer = 1 << 20 // bytes

// listenUDP tells listening the address if its port is 0, so that the system chooses one.
func listenUDP(path string, listening func(address string)) (udp, error) {
	least := 1
	if listening != nil {
		least = 0
	}
	u, err := addressFrom(path, least)
	if err != nil {
		return udp{}, err
	}
	a, err := net.ResolveUDPAddr("udp", u.Host)
	if err != nil {
		return udp{}, mended{err, "check the address"}
	}
	var c *net.UDPConn
	if a.IP.IsMulticast() {
		c, err = listenMulticast(a, u.Query().Get("interface"))
	} else {
		c, err = net.ListenUDP("udp", a)
	}
	if errors.As(err, new(mended)) {
		return udp{}, err
	}
	if err != nil {
		return udp{}, mended{err, "give an address of this machine, or of a multicast group, and a port that is free"}
	}
	if a.Port == 0 {
		u.Host = c.LocalAddr().String()
		listening(u.String())
	}
	c.SetReadBuffer(rtpSocketBuffer) // as much of it as the system grants
	return udp{c}, nil
}

func (u udp) receive(buf []byte, wait time.Duration) (int, netip.AddrPort, time.Time, error) {
	deadline := time.Time{} // none
	if wait > 0 {
		deadline = time.Now().Add(wait)
	}
	if err := u.SetReadDeadline(deadline); err != nil {
		return 0, netip.AddrPort{}, time.Time{}, err
	}
	n, from, err := u.ReadFromUDPAddrPort(buf)
	return n, from, time.Now(), err
}

// rtpFeed is the liveFeed of an RTP session.
type rtpFeed struct {
	conn   datagrams
	stream rtpStream
	packet []byte
	data   []byte
	came   time.Time // when the last packet did, or did not
	ended  bool
}

// rtpPoll is how often it is looked whether nothing comes any more.
const rtpPoll = 500 * time.Millisecond

func (s *Source) openRTP(conn datagrams, o Options) error {
	if o.Encoding != "" {
		return mended{errors.New("RTP audio is always 16-bit (L16)"), "leave out --encoding"}
	}
	f := &rtpFeed{conn: conn, packet: make([]byte, 1<<16)}
	var a rtpAudition
	for {
		n, from, at, err := conn.receive(f.packet, 0)
		if err != nil {
			return err
		}
		f.came = at
		first, bad := a.hear(f.packet[:n], from, at)
		if bad {
			f.stream.stats.bad++
		}
		if first == nil {
			continue
		}
		rate, channels, err := rtpFormat(first.payload, o)
		if err != nil {
			return err
		}
		f.stream.rate, f.stream.frame, f.stream.payload = rate, 2*channels, first.payload
		s.channels = channels
		if _, err := s.check(rate, o); err != nil {
			return err
		}
		begun := false
		for _, d := range first.packets {
			begun = f.stream.push(d.b, from, d.at) || begun
		}
		if begun {
			return s.startLive(f, nil, l16, rate, f.stream.start, o)
		}
	}
}

// rtpFormat is what a payload type says of the samples, or what is ordered.
func rtpFormat(payload uint8, o Options) (rate float64, channels int, err error) {
	switch {
	case payload == payloadL16Stereo:
		return staticRate, 2, nil
	case payload == payloadL16Mono:
		return staticRate, 1, nil
	case payload < payloadDynamic:
		return 0, 0, mended{fmt.Errorf("brings RTP of payload type %d, which is not L16 audio", payload), "send L16"}
	case o.Rate == 0:
		return 0, 0, mended{fmt.Errorf("brings RTP of the dynamic payload type %d, which does not state its rate", payload),
			"give --rate, and --channels if they are several"}
	}
	return o.Rate, liveChannels(o), nil
}

func (f *rtpFeed) next() ([]byte, int64, error) {
	for {
		data, silence := f.stream.pop(f.data)
		if data == nil && silence == 0 && f.ended {
			if data, silence = f.stream.release(f.data); data == nil && silence == 0 {
				return nil, 0, io.EOF
			}
		}
		if data == nil && silence == 0 {
			n, from, at, err := f.conn.receive(f.packet, rtpPoll)
			f.came = at
			switch {
			case err == nil:
				f.stream.push(f.packet[:n], from, at)
			case errors.Is(err, net.ErrClosed), errors.Is(err, io.EOF):
				f.ended = true
			case !errors.Is(err, os.ErrDeadlineExceeded):
				return nil, 0, err
			}
			if !f.ended && at.Sub(f.stream.heard) >= rtpPoll { // whatever strangers send meanwhile
				if data, silence = f.stream.release(f.data); data == nil && silence == 0 {
					silence = f.stream.idle(at)
				}
			}
		}
		if data != nil {
			f.data = data
		}
		if data != nil || silence > 0 {
			return data, silence, nil
		}
	}
}

func (f *rtpFeed) now() time.Time { return f.came }

func (f *rtpFeed) close() error { return f.conn.Close() }

func (f *rtpFeed) report() string { return f.stream.report() }
