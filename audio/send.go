package audio

import (
	"encoding/binary"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"net"
	"strings"
	"time"

	"github.com/pion/rtp"
)

// Sender sends samples as RTP audio, L16 (RFC 3551 section 4.5.11), as fast as they would be recorded and no faster.
// The first error sticks.
type Sender struct {
	conn    *net.UDPConn
	to      *net.UDPAddr
	address string
	rate    float64 // Hz
	clock   clock
	start   time.Time // of the first sample
	sent    int64     // frames

	header rtp.Header
	frame  int    // bytes
	begin  int    // of the samples in packet
	packet []byte // to come
	err    error
}

// sendSeconds is the length of a packet (20 ms is the default of RFC 3551 section 4.2); sendBytes is its limit by what
// networks carry in one piece: 1500 bytes less the headers of IP, UDP and RTP and some of tunnels (common practice).
const (
	sendSeconds = 0.02
	sendBytes   = 1400
)

// NewSender makes a sender to rtp://ADDRESS:PORT, for a multicast group perhaps with ?interface=NAME to send by, of samples at rate Hz; those of I and Q are two channels. 44.1 kHz has
// its static payload types, all other rates the dynamic type 96.
func NewSender(address string, rate float64, iq bool) (*Sender, error) {
	return newSender(address, rate, iq, wallClock{})
}

func newSender(address string, rate float64, iq bool, c clock) (*Sender, error) {
	wrong := func(err error, mend string) (*Sender, error) {
		return nil, newError("send to", address, mended{err, mend})
	}
	if !(rate >= MinRate && rate <= MaxRate) || rate != math.Trunc(rate) {
		return wrong(fmt.Errorf("a sample rate of %g Hz", rate), fmt.Sprintf("send a whole number from %d to %d", MinRate, MaxRate))
	}
	if !strings.HasPrefix(address, "rtp://") {
		return wrong(errors.New("is no address of RTP"), "give one such as rtp://127.0.0.1:5004")
	}
	u, err := networkAddress(address)
	if err != nil {
		return nil, newError("send to", address, err)
	}
	to, err := net.ResolveUDPAddr("udp", u.Host)
	if err == nil && to.IP == nil {
		err = errors.New("names no receiver")
	}
	if err != nil {
		return wrong(err, "check the address")
	}
	// Not connected: a receiver that is not there yet must not be an error.
	network := "udp6"
	if to.IP.To4() != nil {
		network = "udp4"
	}
	conn, err := net.ListenUDP(network, nil)
	if err != nil {
		return nil, newError("send to", address, err)
	}
	if name := u.Query().Get("interface"); name != "" && to.IP.IsMulticast() {
		i, err := net.InterfaceByName(name)
		if err == nil {
			err = sendBy(conn, i, to.IP)
		}
		if err != nil {
			conn.Close()
			return wrong(err, "check the name of the interface")
		}
	}
	s := &Sender{
		conn: conn, to: to, address: address, rate: rate, clock: c, frame: 2,
		header: rtp.Header{ // random numbers: RFC 3550 sections 5.1 and 8
			Version: 2, PayloadType: payloadDynamic, SequenceNumber: uint16(rand.Uint32()), Timestamp: rand.Uint32(), SSRC: rand.Uint32(),
		},
	}
	if iq {
		s.frame = 4
	}
	switch {
	case rate == staticRate && iq:
		s.header.PayloadType = payloadL16Stereo
	case rate == staticRate:
		s.header.PayloadType = payloadL16Mono
	}
	s.begin = s.header.MarshalSize()
	s.packet = make([]byte, s.begin, s.begin+min(int(rate*sendSeconds), sendBytes/s.frame)*s.frame)
	return s, nil
}

// WriteSamples sends samples, limited to full scale; what is not a number becomes silence. It waits for the moment when
// the last full packet is due.
func (s *Sender) WriteSamples(src []float32) error {
	for _, v := range src {
		s.write(v)
	}
	return s.err
}

// WriteIQ sends complex samples; see WriteSamples.
func (s *Sender) WriteIQ(src []complex64) error {
	for _, z := range src {
		s.write(real(z))
		s.write(imag(z))
	}
	return s.err
}

func (s *Sender) write(v float32) {
	s.packet = binary.BigEndian.AppendUint16(s.packet, uint16(toS16(v)))
	if len(s.packet) == cap(s.packet) {
		s.flush()
	}
}

// flush sends the packet at the time when its last sample would have been recorded.
func (s *Sender) flush() {
	defer func() { s.packet = s.packet[:s.begin] }()
	frames := (len(s.packet) - s.begin) / s.frame
	if frames == 0 || s.err != nil {
		return
	}
	now := s.clock.now()
	if s.start.IsZero() {
		s.start = now
	}
	s.sent += int64(frames)
	if due := s.start.Add(time.Duration(float64(s.sent) / s.rate * 1e9)); due.After(now) {
		s.clock.sleep(due.Sub(now), nil)
	}
	if _, s.err = s.header.MarshalTo(s.packet); s.err != nil {
		return
	}
	s.header.SequenceNumber++
	s.header.Timestamp += uint32(frames)
	if _, err := s.conn.WriteToUDP(s.packet, s.to); err != nil {
		s.err = newError("send to", s.address, mended{err, "check the address and the network"})
	}
}

// Close sends what is left and returns the first error of all.
func (s *Sender) Close() error {
	s.flush()
	if err := s.conn.Close(); s.err == nil {
		s.err = err
	}
	return s.err
}

// Abort stops without what is left.
func (s *Sender) Abort() { s.conn.Close() }
