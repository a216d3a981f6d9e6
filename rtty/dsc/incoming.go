package dsc

// call is one whose symbols are coming in.
type call struct {
	active bool
	sync   sync
	time   float64              // wide samples at which its phasing signals begin
	heard  int                  // places
	dx     [mostInfo]likelihood // of the first sending
	both   [mostInfo]likelihood
	ends   end
}

// likelihoods appends those of the call's symbols, its end and its check symbol, the format specifier's joined from both.
func (c *call) likelihoods(dst []*likelihood, format, last *likelihood) []*likelihood {
	*format = c.both[0]
	format.add(&c.both[1])
	at := c.ends.at
	for s := range last {
		last[s] = impossible
	}
	for _, s := range [...]Symbol{EndRequest, EndAnswer, EndOther} {
		last[s] = c.both[at][s] + c.dx[at+2][s] + c.dx[at+3][s]
	}
	dst = append(dst, format)
	for i := 2; i < at; i++ {
		dst = append(dst, &c.both[i])
	}
	return append(dst, last, &c.both[at+1])
}

// end is where the end of sequence seems to be, of what is called info in [Sendings].
type end struct {
	at       int
	symbol   Symbol
	evidence float64
}

const (
	mostSymbols  = 36 // of a call: the longest that is known, a relay to an area, has 27
	mostInfo     = mostSymbols + 1 + 1 + 1 + trailingEnds
	leastSymbols = 8 // a call to all ships without frequencies has 9
	// The four sendings of the end that are looked at have 14.5 nats. One with surely is that; the best one that is left when the
	// longest call would be over needs leastEnd.
	surely, leastEnd = 9.0, 4.0
)

func (c *call) begin(s sync, time float64) {
	c.active, c.sync, c.time, c.heard, c.ends = true, s, time, phasingPlaces, end{}
}

// take takes the log-likelihood ratios of the next place's elements and says whether the call has ended.
func (c *call) take(y *[Units]float32) bool {
	place := c.heard - phasingPlaces
	c.heard++
	var l likelihood
	l.of(y)
	i := place / 2
	if place%2 == 0 {
		if i < mostInfo {
			c.dx[i] = l
		}
		return false
	}
	if i -= repeatPairs; i < 0 {
		return false
	}
	c.both[i] = c.dx[i]
	c.both[i].add(&l)
	at := i - 1 // the place before the check symbol
	if at < leastSymbols {
		return false
	}
	for _, s := range [...]Symbol{EndRequest, EndAnswer, EndOther} {
		v := c.both[at].evidence(s) + c.dx[at+2].evidence(s) + c.dx[at+3].evidence(s)
		if v > c.ends.evidence {
			c.ends = end{at, s, v}
		}
	}
	return c.ends.at == at && c.ends.evidence > surely || i+trailingEnds >= mostInfo-1
}

// evidence is the log of how much likelier a symbol is than any.
func (l *likelihood) evidence(s Symbol) float64 { return float64(l[s]) - l.mean() }
