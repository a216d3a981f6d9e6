package station

import (
	"context"
	"sync"
	"time"

	"ionoscribe/copydesk"
	"ionoscribe/fax"
	"ionoscribe/internal/chartfile"
	"ionoscribe/internal/filing"
)

// saver saves charts in a goroutine of its own, since a picture takes a tenth of a second. The videos of charts that are coming in
// are kept by the receivers' goroutines, a second at a time.
type saver struct {
	charts  *filing.Charts
	trouble *filing.Trouble // of charts
	orders  chan order
	stop    chan struct{}
	done    chan struct{}

	mutex    sync.Mutex
	arriving map[place]*filing.Arrival
	waiting  int
	kept     int // charts that could not be saved yet
	lost     int // and that were given up
}

// order is a chart to be saved.
type order struct {
	chart *chartfile.Chart
	came  *chartfile.Arriving
	saved func(picture, video string)
}

// mostOrders bounds the charts that wait, of some megabytes each. Who hands on more waits.
const mostOrders = 64

func newSaver(c *filing.Charts, t *filing.Trouble) *saver {
	s := &saver{charts: c, trouble: t, orders: make(chan order, mostOrders), stop: make(chan struct{}), done: make(chan struct{}), arriving: map[place]*filing.Arrival{}}
	go s.run()
	return s
}

func (s *saver) run() {
	defer close(s.done)
	again := time.NewTicker(time.Second)
	defer again.Stop()
	for {
		select {
		case o := <-s.orders:
			s.carryOut(o)
		case <-again.C:
			s.charts.Retry()
			s.count(0)
		case <-s.stop:
			for {
				select {
				case o := <-s.orders:
					s.carryOut(o)
				default:
					return
				}
			}
		}
	}
}

func (s *saver) carryOut(o order) {
	s.charts.Save(o.chart, o.came, o.saved)
	s.count(1)
}

// count notes how many orders were carried out, and what became of the charts.
func (s *saver) count(done int) {
	s.mutex.Lock()
	defer s.mutex.Unlock()
	s.waiting -= done
	s.kept, s.lost = s.charts.Kept()
}

// save has a chart of a transmission saved, and then calls saved.
func (s *saver) save(p place, c *chartfile.Chart, saved func(picture, video string)) {
	s.mutex.Lock()
	o := order{chart: c, saved: saved}
	if a := s.arriving[p]; a != nil {
		o.came = a.Take()
	}
	s.waiting++
	s.mutex.Unlock()
	select {
	case s.orders <- o:
	case <-s.done: // it is on the disk, and the next start saves it
	}
}

// follow keeps the videos of the charts that a desk is receiving.
func (s *saver) follow(source *filing.Source, desk *copydesk.Desk) {
	s.mutex.Lock()
	defer s.mutex.Unlock()
	for _, c := range desk.Copies() {
		a, v, zero, ok := c.Arriving()
		if !ok {
			continue
		}
		p := place{source.Name, c.Transmission()}
		r := s.arriving[p]
		if r == nil {
			r = filing.NewArrival(s.charts, source.FileName(c.Finding()), chartfile.Origin{Source: source.Name, Start: source.Time(zero), TimeFrom: source.TimeFrom()})
			s.arriving[p] = r
		}
		r.Follow(a, v, desk.Drawing(c.Transmission()))
	}
}

// forget drops what was coming in when a transmission ended: it was none.
func (s *saver) forget(p place) {
	s.mutex.Lock()
	defer s.mutex.Unlock()
	if a := s.arriving[p]; a != nil {
		a.Follow(fax.Arriving{}, nil, false)
		delete(s.arriving, p)
	}
}

// lose drops what was coming in of a receiver whose desk is gone. The files stay for the next start.
func (s *saver) lose(receiver string) {
	s.mutex.Lock()
	defer s.mutex.Unlock()
	for p, a := range s.arriving {
		if p.receiver == receiver {
			a.Close()
			delete(s.arriving, p)
		}
	}
}

// queue is how many charts wait to be saved, and how many were given up.
func (s *saver) queue() (waiting, lost int) {
	s.mutex.Lock()
	defer s.mutex.Unlock()
	return s.waiting + s.kept, s.lost
}

// close saves what waits, as long as ctx allows; what does not get its turn is on the disk, and the next start saves it.
func (s *saver) close(ctx context.Context) error {
	close(s.stop)
	select {
	case <-s.done:
		return s.charts.Close()
	case <-ctx.Done():
		return nil
	}
}
