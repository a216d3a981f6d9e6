package copydesk

import (
	"fmt"
	"runtime"

	"ionoscribe/fax"
)

// drawers is how many charts are drawn at a time, of all desks: half of the processors are left to the decoders.
var drawers = make(chan struct{}, max(1, runtime.NumCPU()/2))

// mostUndrawn bounds the charts of a desk that wait to be drawn, which hold up to 26 MB each: samples wait when there are
// more.
const mostUndrawn = 16

// drawing is a chart that is being drawn by a goroutine of its own.
type drawing struct {
	t     *transmission
	done  chan struct{} // closed when it is
	chart *fax.Chart    // nil: it was none
	err   error
}

// draw draws a chart, which draws itself by f, after the one before it of the same transmission.
func (d *Desk) draw(t *transmission, f func() *fax.Chart) {
	if len(d.drawings) >= mostUndrawn {
		d.trouble(nil, fmt.Errorf("%d charts are waiting to be drawn; samples wait for one of them", len(d.drawings)))
		<-d.drawings[0].done
		d.drawn()
	}
	g := &drawing{t: t, done: make(chan struct{})}
	before := t.drawing
	t.drawing = g
	d.drawings = append(d.drawings, g)
	go func() {
		defer close(g.done)
		if before != nil {
			<-before.done
		}
		drawers <- struct{}{}
		defer func() { <-drawers }()
		g.err = try(func() { g.chart = f() })
	}()
}

// drawn tells of the charts that are drawn by now.
func (d *Desk) drawn() {
	left := d.drawings[:0]
	for _, g := range d.drawings {
		select {
		case <-g.done:
			d.told(g)
		default:
			left = append(left, g)
		}
	}
	clear(d.drawings[len(left):])
	d.drawings = left
}

// awaitDrawings waits until all are drawn, and tells of them.
func (d *Desk) awaitDrawings() {
	for _, g := range d.drawings {
		<-g.done
	}
	d.drawn()
}

func (d *Desk) told(g *drawing) {
	t := g.t
	switch {
	case g.err != nil:
		d.trouble(t, fmt.Errorf("the chart cannot be drawn: %w", g.err))
	case g.chart != nil:
		e := t.event(Chart, g.chart.End)
		e.Chart = g.chart
		d.tell(e)
	}
	if t.drawing == g {
		t.drawing = nil
		if t.over {
			d.tell(t.event(Ended, t.finding.End))
		}
	}
}

// try turns a panic of f into an error.
func try(f func()) (err error) {
	defer func() {
		if p := recover(); p != nil {
			err = fmt.Errorf("a fault of the program: %v", p)
		}
	}()
	f()
	return nil
}
