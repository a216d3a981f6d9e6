package audio

import (
	"errors"
	"fmt"
	"io"
	"net"
	"strings"
	"sync"
	"time"
)

// A connection that ends is made anew: after tcpFirstWait, then twice as long each time up to tcpLongestWait, so that
// tcpAttempts in a row that fail take a minute.
const (
	tcpFirstWait   = 250 * time.Millisecond
	tcpLongestWait = 8 * time.Second
	tcpAttempts    = 11
	tcpDialTimeout = 5 * time.Second
)

// tcpFeed is the liveFeed of raw samples over TCP. What was missed between two connections becomes silence of the
// length that the clock says.
type tcpFeed struct {
	dial  func() (net.Conn, error)
	clock clock
	rate  float64
	frame int // bytes

	buf    []byte
	have   int       // bytes of buf that are read, less than a frame between calls but for held
	held   bool      // they follow a silence that was delivered first
	gave   int       // bytes of buf that the last call delivered
	last   time.Time // until when samples and silence were delivered, by the clock
	failed int       // attempts in a row
	stop   chan struct{}

	sync.Mutex
	conn    net.Conn
	closed  bool
	again   int64 // connections after the first
	silence int64 // frames
}

func (s *Source) openTCP(path string, dial func(network, address string) (net.Conn, error), c clock, o Options) (*tcpFeed, error) {
	u, err := networkAddress(path)
	if err != nil {
		return nil, err
	}
	format, ok := encodings[Encoding(strings.ToLower(string(o.Encoding)))]
	switch {
	case o.Rate == 0:
		return nil, mended{errors.New("raw samples without a rate"), "give --rate"}
	case !ok:
		return nil, mended{fmt.Errorf("raw samples of an encoding %q", o.Encoding), "give --encoding, one of " + encodingNames()}
	}
	s.channels = liveChannels(o)
	if _, err := s.check(o.Rate, o); err != nil {
		return nil, err
	}
	f := &tcpFeed{
		dial: func() (net.Conn, error) { return dial("tcp", u.Host) }, clock: c, rate: o.Rate, frame: format.width * s.channels,
		buf: make([]byte, ioBlock), stop: make(chan struct{}),
	}
	if f.conn, err = f.dial(); err != nil {
		return nil, mended{err, "start the sender first, and check its address"}
	}
	data, _, err := f.next()
	if err != nil {
		f.close()
		return nil, err
	}
	start := f.last.Add(-time.Duration(float64(len(data)/f.frame) / o.Rate * 1e9))
	return f, s.startLive(f, data, format, o.Rate, start, o)
}

func dialTCP(network, address string) (net.Conn, error) {
	return net.DialTimeout(network, address, tcpDialTimeout)
}

func (f *tcpFeed) next() ([]byte, int64, error) {
	f.have = copy(f.buf, f.buf[f.gave:f.have])
	f.gave = 0
	for {
		if f.isClosed() {
			return nil, 0, io.EOF
		}
		if f.held {
			f.held = false
			return f.give(), 0, nil
		}
		if f.conn == nil {
			silence, err := f.connect()
			if silence > 0 || err != nil {
				return nil, silence, err
			}
			continue
		}
		n, err := f.conn.Read(f.buf[f.have:])
		f.have += n
		if err != nil {
			f.conn.Close()
			f.setConn(nil)
		}
		if f.have < f.frame {
			if err != nil {
				f.have = 0 // the next connection begins with a whole frame
			}
			continue
		}
		if f.failed > 0 { // the first after a gap
			f.failed = 0
			f.Lock()
			f.again++
			f.Unlock()
			if silence := f.gap(); silence > 0 {
				f.held = true
				return nil, silence, nil
			}
		}
		return f.give(), 0, nil
	}
}

// give delivers the whole frames of buf.
func (f *tcpFeed) give() []byte {
	f.gave = f.have / f.frame * f.frame
	f.last = f.clock.now()
	return f.buf[:f.gave]
}

// gap is the silence since the last delivery.
func (f *tcpFeed) gap() int64 {
	now := f.clock.now()
	n := framesIn(f.rate, now.Sub(f.last))
	f.last = now
	f.Lock()
	f.silence += n
	f.Unlock()
	return n
}

// connect tries once to connect again; if that fails it gives the silence until now.
func (f *tcpFeed) connect() (int64, error) {
	if f.failed == tcpAttempts {
		return 0, mended{fmt.Errorf("the connection has ended and %d attempts to make another failed", tcpAttempts),
			"what came before has been read"}
	}
	wait := min(tcpFirstWait<<f.failed, tcpLongestWait)
	f.failed++
	if !f.clock.sleep(wait, f.stop) {
		return 0, io.EOF
	}
	c, err := f.dial()
	if err != nil {
		return f.gap(), nil
	}
	f.setConn(c)
	return 0, nil
}

// setConn changes the connection, which close may want to close.
func (f *tcpFeed) setConn(c net.Conn) {
	f.Lock()
	defer f.Unlock()
	if f.closed && c != nil {
		c.Close()
	}
	f.conn = c
}

func (f *tcpFeed) isClosed() bool {
	f.Lock()
	defer f.Unlock()
	return f.closed
}

func (f *tcpFeed) close() error {
	f.Lock()
	defer f.Unlock()
	if f.closed {
		return nil
	}
	f.closed = true
	close(f.stop)
	if f.conn != nil {
		return f.conn.Close()
	}
	return nil
}

func (f *tcpFeed) report() string {
	f.Lock()
	defer f.Unlock()
	if f.again == 0 && f.silence == 0 {
		return ""
	}
	return fmt.Sprintf("the connection was made again, times: %d; %.2f s of silence between", f.again, float64(f.silence)/f.rate)
}
