package web

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"time"

	"ionoscribe/internal/archive"
)

// A day is told in lanes: one for each channel that a receiver was expected to hear something on, and for each frequency on which it
// heard much. What is on none of them is in a lane of the receiver that has no frequency.

// lane is one of a day.
type lane struct {
	Receiver string         `json:"receiver"`
	Hz       float64        `json:"hz"` // 0: others
	OnAir    bool           `json:"on_air"`
	Label    string         `json:"label"`
	Heard    [][2]string    `json:"heard"`
	Gaps     []gap          `json:"gaps"`
	Expected []expectedItem `json:"expected"`
	Came     []cameItem     `json:"came"`
}

// gap is a time in which a receiver was not heard.
type gap struct {
	From string `json:"from_utc"`
	To   string `json:"to_utc"`
	Why  string `json:"why"`
}

// expectedItem is an occurrence of a programme entry.
type expectedItem struct {
	Key          string          `json:"key"`
	Title        string          `json:"title"`
	Mode         string          `json:"mode"`
	From         string          `json:"from_utc"`
	To           string          `json:"to_utc"`
	Outcome      archive.Outcome `json:"outcome"`
	Why          string          `json:"why"`
	Transmission archive.ID      `json:"transmission,omitempty"`
	Quality      float64         `json:"quality,omitempty"`
}

// cameItem is a transmission.
type cameItem struct {
	Transmission archive.ID `json:"transmission"`
	Chart        int64      `json:"chart,omitempty"`
	Mode         string     `json:"mode"`
	State        string     `json:"state"`
	Title        string     `json:"title"`
	Begin        string     `json:"begin_utc"`
	End          string     `json:"end_utc"`
	Hz           float64    `json:"hz"`
	Quality      float64    `json:"quality"`
	SNR          float64    `json:"snr_db"`
	Settings     string     `json:"settings"`
}

// dayBook is what the station knows of a day.
type dayBook struct {
	from, to  time.Time
	receivers []string // of the configuration
	expected  []archive.Expected
	ends      map[string]time.Time // when occurrences end, by key, where the programme says it
	came      []archive.Hit
	heard     []archive.Hearing

	all []*lane
}

const (
	nearLane      = 1000 // Hz between a transmission and the channel on which it is
	oneTuning     = 3000 // Hz that a receiver hears at a time, at least
	mostFree      = 8    // lanes of a receiver for frequencies of no programme
	leastLaneTime = 10 * time.Minute
)

// lanes sorts all into lanes, in the order of receivers and frequencies.
func (d *dayBook) lanes() []*lane {
	came := map[archive.ID]archive.Hit{}
	for _, h := range d.came {
		came[h.ID] = h
	}
	told := map[archive.ID]*lane{} // lanes of what was expected and came
	for _, x := range d.expected {
		l := d.channel(x, came)
		l.Expected = append(l.Expected, d.expectedItem(x))
		if x.Transmission != 0 {
			told[x.Transmission] = l
		}
	}
	var rest []archive.Hit
	for _, h := range d.came {
		l := told[h.ID]
		if l == nil {
			l = d.near(h.Receiver, h.Hz, h.OnAir)
		}
		if l == nil {
			rest = append(rest, h)
			continue
		}
		l.Came = append(l.Came, cameItemOf(h))
	}
	for _, free := range frequencies(rest) {
		hz, onAir := free[0].Hz, free[0].OnAir
		if stay(free) < leastLaneTime || d.freeLanes(free[0].Receiver) >= mostFree {
			hz, onAir = 0, false
		}
		l := d.lane(free[0].Receiver, hz, onAir)
		for _, h := range free {
			l.Came = append(l.Came, cameItemOf(h))
		}
	}
	d.silentReceivers()
	d.finish()
	return d.all
}

// channel is the lane of what was expected: that on which it came, or one near its frequency.
func (d *dayBook) channel(x archive.Expected, came map[archive.ID]archive.Hit) *lane {
	receiver, hz := x.Receiver, x.Hz
	if h, ok := came[x.Transmission]; ok {
		receiver = h.Receiver
		if hz == 0 {
			hz = h.Hz
		}
	}
	if receiver == "" { // any, as of what is due or was missed
		receiver = d.listens(hz)
	}
	if l := d.near(receiver, hz, hz != 0); l != nil {
		return l
	}
	return d.lane(receiver, hz, hz != 0)
}

// listens is the receiver that heard something nearest to a frequency, or the only one, or "".
func (d *dayBook) listens(hz float64) (receiver string) {
	off := float64(oneTuning)
	for _, h := range d.came {
		if o := math.Abs(h.Hz - hz); h.OnAir && o < off {
			receiver, off = h.Receiver, o
		}
	}
	if receiver == "" && len(d.receivers) == 1 {
		receiver = d.receivers[0]
	}
	return receiver
}

// lane is that of a receiver and a frequency.
func (d *dayBook) lane(receiver string, hz float64, onAir bool) *lane {
	for _, l := range d.all {
		if l.Receiver == receiver && l.Hz == hz && l.OnAir == onAir {
			return l
		}
	}
	l := &lane{Receiver: receiver, Hz: hz, OnAir: onAir, Heard: [][2]string{}, Gaps: []gap{}, Expected: []expectedItem{}, Came: []cameItem{}}
	d.all = append(d.all, l)
	return l
}

// near is the nearest lane to a frequency; nil: there is none.
func (d *dayBook) near(receiver string, hz float64, onAir bool) (nearest *lane) {
	for _, l := range d.all {
		off := math.Abs(l.Hz - hz)
		if l.Receiver == receiver && l.OnAir == onAir && l.Hz != 0 && off <= nearLane && (nearest == nil || off < math.Abs(nearest.Hz-hz)) {
			nearest = l
		}
	}
	return nearest
}

// freeLanes is how many lanes of a receiver nothing was expected on.
func (d *dayBook) freeLanes(receiver string) (n int) {
	for _, l := range d.all {
		if l.Receiver == receiver && l.Hz != 0 && len(l.Expected) == 0 {
			n++
		}
	}
	return n
}

// frequencies are transmissions by receiver and frequency, those that stayed longest first. The first of each is the middle.
func frequencies(all []archive.Hit) (groups [][]archive.Hit) {
	for _, h := range all {
		i := slices.IndexFunc(groups, func(g []archive.Hit) bool {
			return g[0].Receiver == h.Receiver && g[0].OnAir == h.OnAir && math.Abs(g[0].Hz-h.Hz) <= nearLane/2
		})
		if i < 0 {
			groups = append(groups, []archive.Hit{h})
		} else {
			groups[i] = append(groups[i], h)
		}
	}
	slices.SortStableFunc(groups, func(a, b []archive.Hit) int { return cmp.Compare(stay(b), stay(a)) })
	return groups
}

// stay is how long transmissions lasted.
func stay(all []archive.Hit) (sum time.Duration) {
	for _, h := range all {
		sum += h.Ended.Sub(h.Begun)
	}
	return sum
}

// silentReceivers gives a lane to each receiver of the configuration that has none, and to others that were heard.
func (d *dayBook) silentReceivers() {
	names := slices.Clone(d.receivers)
	for _, h := range d.heard {
		if len(h.Heard) > 0 {
			names = append(names, h.Receiver)
		}
	}
	for _, name := range names {
		if !slices.ContainsFunc(d.all, func(l *lane) bool { return l.Receiver == name }) {
			d.lane(name, 0, false)
		}
	}
}

// finish gives lanes their labels and order, and tells when they were heard.
func (d *dayBook) finish() {
	for _, l := range d.all {
		switch {
		case l.Hz == 0:
			l.Label = "other"
		case l.OnAir:
			l.Label = fmt.Sprintf("%.1f kHz", l.Hz/1000)
		default:
			l.Label = fmt.Sprintf("%.0f Hz", l.Hz)
		}
		slices.SortStableFunc(l.Came, func(a, b cameItem) int { return cmp.Compare(a.Begin, b.Begin) })
		for _, h := range d.heard {
			if h.Receiver == l.Receiver {
				for _, s := range h.Heard {
					l.Heard = append(l.Heard, [2]string{stamp(s.From), stamp(s.To)})
				}
				for _, g := range h.Silences {
					l.Gaps = append(l.Gaps, gap{stamp(g.From), stamp(g.To), g.Why})
				}
			}
		}
	}
	other := func(l *lane) int {
		if l.Hz == 0 {
			return 1
		}
		return 0
	}
	slices.SortStableFunc(d.all, func(a, b *lane) int {
		return cmp.Or(cmp.Compare(a.Receiver, b.Receiver), other(a)-other(b), cmp.Compare(a.Hz, b.Hz))
	})
}

func (d *dayBook) expectedItem(x archive.Expected) expectedItem {
	end := x.Closes
	if e, ok := d.ends[x.Key]; ok {
		end = e
	}
	return expectedItem{x.Key, x.Title, x.Mode, stamp(x.At), stamp(end), x.Outcome, x.Why, x.Transmission, math.Round(x.Quality*1000) / 1000}
}

func cameItemOf(h archive.Hit) cameItem {
	o := h.Object()
	return cameItem{h.ID, h.Chart, h.Mode, o.State, h.Title, o.Begin, o.End, o.Hz, o.Quality, o.SNR, h.Settings}
}
