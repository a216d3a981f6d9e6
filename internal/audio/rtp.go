package audio

import (
	"errors"
	"fmt"
	"io"
	"net"
	"os"
	"time"

	"github.com/pion/rtp"
)

// datagrams is where packets come from.
type datagrams interface {
	// receive waits for a datagram; os.ErrDeadlineExceeded says that none came within the time.
	receive(buf []byte, wait time.Duration) (n int, at time.Time, err error)
	// Close ends a receive that waits: net.ErrClosed.
	Close() error
}

// udp is a socket. It listens at a local address or, if that is one of a multicast group, joins the group: on all
// interfaces, or on that of rtp://GROUP:PORT?interface=NAME.
type udp struct{ *net.UDPConn }

// rtpSocketBuffer is what the system may hold while a decoder works: more than a second at 192 kHz stereo.
const rtpSocketBuffer = 1 << 20 // bytes

func listenUDP(path string) (udp, error) {
	u, err := networkAddress(path)
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
	c.SetReadBuffer(rtpSocketBuffer) // as much of it as the system grants
	return udp{c}, nil
}

func (u udp) receive(buf []byte, wait time.Duration) (int, time.Time, error) {
	deadline := time.Time{} // none
	if wait > 0 {
		deadline = time.Now().Add(wait)
	}
	if err := u.SetReadDeadline(deadline); err != nil {
		return 0, time.Time{}, err
	}
	n, _, err := u.ReadFromUDP(buf)
	return n, time.Now(), err
}

// rtpFeed is the liveFeed of an RTP session.
type rtpFeed struct {
	conn   datagrams
	stream rtpStream
	packet []byte
	data   []byte
	ended  bool
}

// rtpPoll is how often it is looked whether nothing comes any more.
const rtpPoll = 500 * time.Millisecond

func (s *Source) openRTP(conn datagrams, o Options) error {
	if o.Encoding != "" {
		return mended{errors.New("RTP audio is always 16-bit (L16)"), "leave out --encoding"}
	}
	f := &rtpFeed{conn: conn, packet: make([]byte, 1<<16)}
	rate, channels := 0.0, 0
	for {
		n, at, err := conn.receive(f.packet, 0)
		if err != nil {
			return err
		}
		var p rtp.Packet
		if p.Unmarshal(f.packet[:n]) != nil || p.Version != 2 || len(p.Payload) == 0 {
			f.stream.stats.bad++
			continue
		}
		switch t := p.PayloadType; {
		case t == payloadL16Stereo:
			rate, channels = staticRate, 2
		case t == payloadL16Mono:
			rate, channels = staticRate, 1
		case t < payloadDynamic:
			return mended{fmt.Errorf("brings RTP of payload type %d, which is not L16 audio", t), "send L16"}
		case o.Rate == 0:
			return mended{fmt.Errorf("brings RTP of the dynamic payload type %d, which does not state its rate", t),
				"give --rate, and --channels if they are several"}
		default:
			rate, channels = o.Rate, liveChannels(o)
		}
		f.stream.rate, f.stream.frame, f.stream.payload = rate, 2*channels, p.PayloadType
		s.channels = channels
		if _, err := s.check(rate, o); err != nil {
			return err
		}
		if f.stream.push(f.packet[:n], at) {
			break
		}
	}
	return s.startLive(f, nil, l16, rate, f.stream.start, o)
}

func (f *rtpFeed) next() ([]byte, int64, error) {
	for {
		data, silence := f.stream.pop(f.data)
		if data == nil && silence == 0 && f.ended {
			if data, silence = f.stream.release(f.data); data == nil && silence == 0 {
				return nil, 0, io.EOF
			}
		}
		if data != nil {
			f.data = data
		}
		if data != nil || silence > 0 {
			return data, silence, nil
		}
		n, at, err := f.conn.receive(f.packet, rtpPoll)
		switch {
		case errors.Is(err, os.ErrDeadlineExceeded):
			if data, silence = f.stream.release(f.data); data == nil && silence == 0 {
				silence = f.stream.idle(at)
			}
			if data != nil {
				f.data = data
			}
			if data != nil || silence > 0 {
				return data, silence, nil
			}
		case errors.Is(err, net.ErrClosed), errors.Is(err, io.EOF):
			f.ended = true
		case err != nil:
			return nil, 0, err
		default:
			f.stream.push(f.packet[:n], at)
		}
	}
}

func (f *rtpFeed) close() error { return f.conn.Close() }

func (f *rtpFeed) report() string { return f.stream.report() }
