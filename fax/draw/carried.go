package draw

import "math"

// carried is the line clock of an earlier chart of the same stream, whose sender may be the same and have kept its lines
// in step. The zero value is none.
type carried struct {
	origin float64 // where a line begins: video index, or within findSeam, the share of the line of the new chart
	period float64 // video samples a line; 0: there is no earlier chart
	lpm    float64
	rows   int     // from which it was measured
	spread float64 // standard deviation of where the lines begin now, as a share of the line
	clock  float64 // standard deviation of the period, as a share
}

const (
	// sameSender is how probable it is that an earlier line clock goes on; the page decides as much.
	sameSender = 0.5
	// carriedSpread is the standard deviation of a measured line start, and lineSpread that of a line's place by which the
	// period is known: shares of the line.
	carriedSpread = 1.5 / 1810
	lineSpread    = 0.5 / 1810
	// senderClock is how much the line rates of two senders differ, as a share (common practice: a few parts in a million).
	senderClock = 5e-6
	// sameClock is how much the two clocks of one path drift from chart to chart, as a share (common practice: a crystal
	// indoors keeps some tenths of a part in a million over an hour).
	sameClock = 0.2e-6
)

// slant is that of lines that were laid by the earlier line clock, by what their page tells and that clock, and what is
// known of it. A page that agrees with that clock is of the same sender, unless it tells so little that another's would
// agree as well.
func (c carried) slant(page estimate) (float64, clock) {
	same, other := estimate{0, math.Hypot(sameClock, c.clock)}, estimate{0, math.Hypot(senderClock, c.clock)}
	a, b := sameSender*page.likelihood(same), (1-sameSender)*page.likelihood(other)
	if a < b {
		e := other.with(page)
		return e.slant, clock{estimate{-e.slant, other.deviation}, e.deviation, 0}
	}
	e := same.with(page)
	doubt := math.Sqrt(b/(a+b)) * other.with(page).deviation // it may be another's after all
	return e.slant, clock{estimate{-e.slant, same.deviation}, math.Hypot(e.deviation, doubt), doubt}
}

// carry is what a finished chart tells of the charts behind it. lineStart is Config.LineStart, with which it was drawn.
func (ch *Chart) carry(lineStart float64) carried {
	if !ch.PhaseMeasured {
		return carried{}
	}
	return carried{origin: ch.Origin + (float64(ch.Rows)-lineStart)*ch.Period, period: ch.Period, lpm: ch.LPM, rows: ch.Rows, clock: ch.clock.deviation}
}

// on tells where the lines begin in a grid of the same stream, in its line number line.
func (c carried) on(g grid, lpm float64, line int) carried {
	if c.period == 0 || c.lpm != lpm {
		return carried{}
	}
	lines := (g.start(line) - c.origin) / c.period
	c.spread = math.Hypot(carriedSpread, lineSpread*lines/float64(c.rows))
	at := -lines // lines that the carried one begins after the grid's
	c.origin = at - math.Floor(at)
	return c
}

// prior is how many times more probable a place is, given the earlier line clock.
func (c carried) prior(at place, columns int) float64 {
	if c.period == 0 {
		return 1
	}
	if _, ok := c.within(at, columns); !ok {
		return 1 - sameSender
	}
	return 1 - sameSender + sameSender*float64(columns)/(float64(at.to-at.from)+4*c.spread*float64(columns))
}

// within says whether the carried line start lies in a place, give or take two standard deviations, and where, as a
// share of the line.
func (c carried) within(at place, columns int) (share float64, ok bool) {
	if c.period == 0 {
		return 0, false
	}
	d := circular(c.origin*float64(columns)-at.middle(), float64(columns))
	return c.origin, math.Abs(d) <= float64(at.to-at.from)/2+2*c.spread*float64(columns)
}
