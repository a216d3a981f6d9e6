package audio

import (
	"errors"
	"fmt"
	"io"
	"math"
	"net"
	"strings"
	"sync"
	"time"
)

// A connection that ends is made anew: after tcpFirstWait, then twice as long each time up to tcpLongestWait, so that
// tcpAttempts in a row that bring nothing take a minute. The waits begin anew when a connection has lasted tcpLongestWait.
const (
	tcpFirstWait   = 250 * time.Millisecond
	tcpLongestWait = 8 * time.Second
	tcpAttempts    = 11
	tcpDialTimeout = 5 * time.Second
)

// A sender that cannot get rid of its samples for a while either keeps them, and then sends them faster than they sound,
// or drops them. Which it was shows within tcpStallWindow: until then nothing is delivered after a read that waited
// tcpStall, and then silence first if the samples are still later than ever by tcpLate. Without such a read they may get
// tcpAstray late. What is expected follows by tcpFollow in each window, so that a clock that is slow by 500 millionths or
// less, and crystals keep to 100, is none that is late.
const (
	tcpStall       = time.Second
	tcpStallWindow = 2 * time.Second
	tcpLate        = 250 * time.Millisecond
	tcpAstray      = 2 * time.Second
	tcpFollow      = tcpStallWindow / 2000
)

// tcpFeed is the liveFeed of raw samples over TCP. What was missed between two connections, or while one stood still,
// becomes silence of the length that the clock says.
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
	failed int       // attempts in a row that brought nothing
	waits  int       // waits in a row, each twice as long
	since  time.Time // when the connection was made
	broken bool      // there was a connection before, and nothing has come of this one
	pace   tcpPace
	stop   chan struct{}

	sync.Mutex
	conn    net.Conn
	closed  bool
	again   int64 // connections after the first
	stalls  int64
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
		return nil, mended{errors.New("raw samples without a rate"), "give --rate, or ?rate= behind the source"}
	case !ok:
		return nil, mended{fmt.Errorf("raw samples of an encoding %q", o.Encoding), "give --encoding, or ?encoding= behind the source: one of " + encodingNames()}
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
	f.since = c.now()
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
		if f.have == len(f.buf) { // a stall, and much has come since
			f.buf = append(f.buf, make([]byte, ioBlock)...)
		}
		asked := f.clock.now()
		n, err := f.conn.Read(f.buf[f.have:])
		drained := n < len(f.buf)-f.have
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
		now := f.clock.now()
		if f.broken { // the first after a gap
			f.broken, f.failed = false, 0
			f.Lock()
			f.again++
			f.Unlock()
			if silence := f.gap(); silence > 0 {
				f.held = true
				return nil, silence, nil
			}
		}
		if late, ready := f.pace.read(f, int64(f.have/f.frame), asked, now, drained, err != nil); late > 0 {
			f.held = true
			f.Lock()
			f.stalls++
			f.Unlock()
			return nil, f.silent(late), nil
		} else if ready {
			return f.give(), 0, nil
		}
	}
}

// give delivers the whole frames of buf.
func (f *tcpFeed) give() []byte {
	f.gave = f.have / f.frame * f.frame
	f.last = f.clock.now()
	f.pace.delivered += int64(f.gave / f.frame)
	return f.buf[:f.gave]
}

// silent delivers silence.
func (f *tcpFeed) silent(frames int64) int64 {
	f.pace.delivered += frames
	f.Lock()
	f.silence += frames
	f.Unlock()
	return frames
}

// gap is the silence since the last delivery.
func (f *tcpFeed) gap() int64 {
	now := f.clock.now()
	n := framesIn(f.rate, now.Sub(f.last))
	f.last = now
	return f.silent(n)
}

// tcpPace compares what has come with the clock.
type tcpPace struct {
	begun     bool
	start     time.Time // by the clock, of the frame delivered first
	delivered int64     // frames, with silence
	best      int64     // frames by which samples came after start, when they came earliest
	least     int64     // and in the window that began at since
	since     time.Time
	stalled   bool // the window is one after a stall
}

// read takes what was read: have frames that are not delivered, in a read from asked to now; drained tells that there was
// no more. It gives the frames of silence that have to come first, and tells whether what was read is to be delivered.
// Only where all was read that is there it can be told how late that is.
func (p *tcpPace) read(f *tcpFeed, have int64, asked, now time.Time, drained, end bool) (late int64, ready bool) {
	if !p.begun {
		p.begun, p.start, p.least, p.since = true, now.Add(-time.Duration(float64(have)/f.rate*1e9)), math.MaxInt64, now
		return 0, true
	}
	if now.Sub(asked) >= tcpStall && !p.stalled {
		p.stalled, p.least, p.since = true, math.MaxInt64, now
	}
	if drained {
		behind := framesIn(f.rate, now.Sub(p.start)) - p.delivered - have
		p.best, p.least = min(p.best, behind), min(p.least, behind)
	}
	much := framesIn(f.rate, tcpAstray)
	if p.stalled {
		much = framesIn(f.rate, tcpLate)
	}
	caughtUp := p.stalled && p.least-p.best < much
	if !caughtUp && !end && now.Sub(p.since) < tcpStallWindow {
		return 0, !p.stalled
	}
	if p.least != math.MaxInt64 {
		if late = p.least - p.best; late < much {
			p.best += min(late, framesIn(f.rate, tcpFollow))
			late = 0
		}
	}
	p.stalled, p.least, p.since = false, math.MaxInt64, now
	return late, true
}

// connect tries once to connect again; if that fails it gives the silence until now.
func (f *tcpFeed) connect() (int64, error) {
	if f.failed == tcpAttempts {
		return 0, mended{fmt.Errorf("the connection has ended and %d attempts to make another failed", tcpAttempts),
			"what came before has been read"}
	}
	if !f.broken && f.clock.now().Sub(f.since) >= tcpLongestWait {
		f.waits = 0
	}
	wait := min(tcpFirstWait<<min(f.waits, 10), tcpLongestWait)
	f.waits++
	f.failed++
	f.broken = true
	if !f.clock.sleep(wait, f.stop) {
		return 0, io.EOF
	}
	c, err := f.dial()
	if err != nil {
		return f.gap(), nil
	}
	f.since = f.clock.now()
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

func (f *tcpFeed) now() time.Time { return f.clock.now() }

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
	text := fmt.Sprintf("the connection was made again, times: %d; %.2f s of silence between", f.again, float64(f.silence)/f.rate)
	if f.stalls > 0 {
		text += fmt.Sprintf("; samples came too late and others not at all, times: %d", f.stalls)
	}
	return text
}
