package archive

import (
	"cmp"
	"context"
	"math"
	"slices"
	"time"
)

// Bounds of the map of a band.
const (
	bandStep  = 500         // Hz: less than what two stations keep between them
	mostCells = 20_000      // of a map
	leastStay = time.Second // that a transmission counts for: the shortest ones were there too
)

// Band says how alive frequencies on the air were at each hour of the day.
type Band struct {
	StepHz     float64 // width of a cell
	Cells      []BandCell
	Modes      []string
	HeardHours [24]float64 // hours for which receivers were heard, by hour of the day, UTC
}

// BandCell is what was heard of a mode near a frequency in an hour of the day.
type BandCell struct {
	Hz            float64 // middle
	Hour          int     // UTC
	Mode          string
	Seconds       float64
	Transmissions int
	SNR           float64 // dB in 2500 Hz, mean over the time
}

// Band maps what was on the air in a time, for one receiver or all ("").
func (r *Reader) Band(ctx context.Context, from, to, now time.Time, receiver string) (*Band, error) {
	hearings, err := r.Heard(ctx, from, to, now)
	if err != nil {
		return nil, err
	}
	b := &Band{StepHz: bandStep}
	for _, h := range hearings {
		if receiver == "" || h.Receiver == receiver {
			for _, s := range h.Heard {
				eachHour(s, func(hour int, seconds float64) { b.HeardHours[hour] += seconds / 3600 })
			}
		}
	}
	type key struct {
		step int64
		hour int
		mode string
	}
	cells := map[key]*BandCell{}
	add := func(hz, snr float64, mode string, s Span) {
		began := true
		eachHour(s, func(hour int, seconds float64) {
			k := key{int64(math.Round(hz / bandStep)), hour, mode}
			c := cells[k]
			if c == nil {
				c = &BandCell{Hz: float64(k.step) * bandStep, Hour: hour, Mode: mode}
				cells[k] = c
			}
			c.SNR = (c.SNR*c.Seconds + snr*seconds) / (c.Seconds + seconds)
			c.Seconds += seconds
			if began {
				c.Transmissions++
			}
			began = false
		})
	}
	err = r.eachOn(ctx, from, to, receiver, func(t *Transmission) {
		s := Span{latest(t.Begun, from), t.Ended}
		if s.To.Before(s.From.Add(leastStay)) {
			s.To = s.From.Add(leastStay)
		}
		if s.To.After(to) {
			s.To = to
		}
		add(t.Hz, t.SNR, t.Mode, s)
	})
	if err != nil {
		return nil, r.failed(err)
	}
	for _, c := range cells {
		b.Cells = append(b.Cells, *c)
	}
	if len(b.Cells) > mostCells { // the map shows the strongest: those that were there longest
		slices.SortFunc(b.Cells, func(x, y BandCell) int { return cmp.Compare(y.Seconds, x.Seconds) })
		b.Cells = b.Cells[:mostCells]
	}
	slices.SortFunc(b.Cells, func(x, y BandCell) int {
		return cmp.Or(cmp.Compare(x.Hz, y.Hz), cmp.Compare(x.Hour, y.Hour), cmp.Compare(x.Mode, y.Mode))
	})
	for _, c := range b.Cells {
		if !slices.Contains(b.Modes, c.Mode) {
			b.Modes = append(b.Modes, c.Mode)
		}
	}
	slices.Sort(b.Modes)
	return b, nil
}

// eachOn calls f with what a map shows of each transmission on the air in a time. Those that have ended are read from an index alone.
func (r *Reader) eachOn(ctx context.Context, from, to time.Time, receiver string, f func(t *Transmission)) error {
	const columns = "SELECT mode, hz, snr, begun, ended FROM transmission "
	const where = " AND ended >= ?1 AND on_air AND (?3 = '' OR receiver = ?3)"
	rows, err := r.db.QueryContext(ctx, columns+"INDEXED BY transmission_band WHERE state <> 0 AND begun >= ?1 - 86400000 AND begun < ?2"+where+
		" UNION ALL "+columns+"INDEXED BY transmission_long WHERE ended - begun > 86400000 AND begun < ?1 - 86400000"+where+" AND state <> 0"+
		" UNION ALL "+columns+"INDEXED BY transmission_open WHERE state = 0 AND begun < ?2"+where, millis(from), millis(to), receiver)
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		var t Transmission
		var begun, ended int64
		if err := rows.Scan(&t.Mode, &t.Hz, &t.SNR, &begun, &ended); err != nil {
			return err
		}
		t.Begun, t.Ended = fromMillis(begun), fromMillis(ended)
		f(&t)
	}
	return rows.Err()
}

// eachHour calls f with the seconds of a span in each hour of the day that it has a part of.
func eachHour(s Span, f func(hour int, seconds float64)) {
	for at := s.From.UTC(); at.Before(s.To); {
		next := at.Truncate(time.Hour).Add(time.Hour)
		if next.After(s.To) {
			next = s.To
		}
		f(at.Hour(), next.Sub(at).Seconds())
		at = next
	}
}
