package live

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"sync"
	"sync/atomic"
	"time"

	"ionoscribe/internal/station"
)

const (
	// mostWaiting is how much sound waits for a listener: networks stammer for less. Of a recording that is heard faster than it sounds
	// it is what is heard in one piece.
	mostWaiting = 4 * time.Second
	// mostWaitingBytes bounds that of wide bands: 2 s of a million complex samples a second.
	mostWaitingBytes = 16 << 20
	mostAhead        = time.Second            // by which sound may come before its time
	pausesAfter      = 700 * time.Millisecond // without samples silence begins: blocks of receivers are half a second long at most
	silenceLasts     = 200 * time.Millisecond // at a time
	mostListeners    = 32                     // at a time: each takes some hundredths of a core
)

// sounds hands the samples of receivers to those who listen.
type sounds struct {
	count atomic.Int32 // of those who listen
	mutex sync.Mutex
	of    map[string][]*Listening // by receiver
}

// take hands on a block, which is lent. It is called from the receiver's goroutine, and costs nothing when nobody listens.
func (s *sounds) take(receiver string, in *station.Input, b station.Block) {
	if s.count.Load() == 0 {
		return
	}
	s.mutex.Lock()
	defer s.mutex.Unlock()
	all := s.of[receiver]
	if len(all) == 0 {
		return
	}
	p := piece{in: in, block: station.Block{Audio: slices.Clone(b.Audio), IQ: slices.Clone(b.IQ)}} // which all share
	for _, l := range all {
		l.offer(p)
	}
}

// Why nobody can listen.
var (
	ErrNoReceiver    = errors.New("there is no such receiver")
	ErrManyListeners = fmt.Errorf("%d listen already; wait until one has ended", mostListeners)
)

// Listen begins to listen to a receiver. If that hears samples now, a passband that is not in them is an error.
func (h *Hub) Listen(receiver string, p Passband) (*Listening, error) {
	status := h.station.Status()
	i := slices.IndexFunc(status, func(s station.Status) bool { return s.Name == receiver })
	if i < 0 {
		return nil, ErrNoReceiver
	}
	if s := status[i]; s.Connected {
		if _, err := newEar(tuningNow(&s), p); err != nil {
			return nil, err
		}
	}
	if l := h.sounds.listen(receiver, p); l != nil {
		return l, nil
	}
	return nil, ErrManyListeners
}

// listen begins to listen; nil: too many do.
func (s *sounds) listen(receiver string, p Passband) *Listening {
	s.mutex.Lock()
	defer s.mutex.Unlock()
	if s.count.Load() >= mostListeners {
		return nil
	}
	s.count.Add(1)
	l := &Listening{of: s, receiver: receiver, passband: p, came: make(chan struct{}, 1), began: time.Now()}
	if s.of == nil {
		s.of = map[string][]*Listening{}
	}
	s.of[receiver] = append(s.of[receiver], l)
	return l
}

// piece is a block that waits to be heard; it is never changed.
type piece struct {
	in    *station.Input
	block station.Block
}

func (p piece) lasts() time.Duration {
	return time.Duration(float64(p.block.Len()) / p.in.SampleRate * float64(time.Second))
}

func (p piece) bytes() int { return 4*len(p.block.Audio) + 8*len(p.block.IQ) }

// Listening is the sound of a passband of a receiver, for one listener. It goes on when the receiver is opened again.
type Listening struct {
	of       *sounds
	receiver string
	passband Passband
	came     chan struct{} // a piece did

	mutex sync.Mutex
	queue []piece
	lasts time.Duration // all of queue
	bytes int
	full  bool // nothing is taken until the queue is empty, so that what is heard is of one piece

	in      *station.Input // that ear is for
	ear     *ear           // nil: in does not hear the passband
	level   evenLevel
	sound   []float32
	began   time.Time
	given   int64 // samples since began
	silence bool  // was given last
}

// Close ends it.
func (l *Listening) Close() {
	s := l.of
	s.mutex.Lock()
	defer s.mutex.Unlock()
	if i := slices.Index(s.of[l.receiver], l); i >= 0 {
		s.of[l.receiver] = slices.Delete(s.of[l.receiver], i, i+1)
		s.count.Add(-1)
	}
}

// offer queues a piece, or lets it go if the listener does not keep up.
func (l *Listening) offer(p piece) {
	l.mutex.Lock()
	defer l.mutex.Unlock()
	if len(l.queue) > 0 && (l.lasts+p.lasts() > mostWaiting || l.bytes+p.bytes() > mostWaitingBytes) {
		l.full = true
	}
	if l.full {
		return
	}
	l.queue = append(l.queue, p)
	l.lasts += p.lasts()
	l.bytes += p.bytes()
	select {
	case l.came <- struct{}{}:
	default:
	}
}

func (l *Listening) next() (p piece, ok bool) {
	l.mutex.Lock()
	defer l.mutex.Unlock()
	if len(l.queue) == 0 {
		return p, false
	}
	p = l.queue[0]
	l.queue = slices.Delete(l.queue, 0, 1)
	l.lasts -= p.lasts()
	l.bytes -= p.bytes()
	l.full = l.full && len(l.queue) > 0
	return p, true
}

// Next waits for the next samples in [-1, 1], of HeardRate; they are lent until it is called again. They come as time goes: silence
// when the receiver pauses, and of a recording that is heard faster than it sounds no more than fits. It fails when ctx is done.
func (l *Listening) Next(ctx context.Context) ([]float32, error) {
	for {
		ahead := time.Duration(float64(l.given)/HeardRate*float64(time.Second)) - time.Since(l.began)
		came, wait := l.came, ahead-mostAhead
		if wait <= 0 {
			if p, ok := l.next(); ok {
				if x := l.hear(p); len(x) > 0 {
					return x, nil
				}
				continue
			}
			patience := pausesAfter
			if l.silence {
				patience = 0
			}
			if wait = ahead + patience; wait <= 0 {
				return l.pause(-ahead), nil
			}
		} else {
			came = nil
		}
		timer := time.NewTimer(wait)
		select {
		case <-ctx.Done():
		case <-came:
		case <-timer.C:
		}
		timer.Stop()
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
	}
}

// hear makes sound of a piece.
func (l *Listening) hear(p piece) []float32 {
	if l.in != p.in {
		l.in = p.in
		l.ear, _ = newEar(tuningOf(p.in), l.passband) // where it was tuned to meanwhile there may be no such passband
	}
	if l.ear == nil {
		return nil
	}
	l.sound = l.ear.hear(l.sound[:0], p.block)
	if l.passband != (Passband{}) {
		l.level.apply(l.sound)
	}
	l.given += int64(len(l.sound))
	l.silence = false
	return l.sound
}

// pause makes silence in the place of what is missing, and for a little longer. Whoever did not fetch for long gets no more than that.
func (l *Listening) pause(missing time.Duration) []float32 {
	n := int(HeardRate * (min(missing, pausesAfter) + silenceLasts) / time.Second)
	l.sound = append(l.sound[:0], make([]float32, n)...)
	l.began, l.given, l.silence = time.Now(), int64(HeardRate*silenceLasts/time.Second), true
	return l.sound
}
