package archive

import (
	"slices"
)

// mostPendingBytes bounds what is kept in memory while nothing can be written: two days of four teleprinters.
const mostPendingBytes = 64 << 20

// key says which row of the database a pending row is.
type key struct {
	table string
	a, b  int64
	name  string
}

// row is one that is to be written, in the place of its predecessor if there is one.
type row struct {
	key     key
	bytes   int
	prepare func() // what takes time, before the transaction; or nil
	write   func(w *writer) error
}

// rowBytes is what a row takes in memory beside its texts, about.
const rowBytes = 400

// pending are rows that are not in the database yet, in the order in which they were told of first.
type pending struct {
	rows  map[key]row
	order []key
	bytes int64
	lost  int64 // rows that were given up

	flying      int // rows that are being written
	flyingBytes int64
}

// put adds a row, or replaces the one that waits.
func (p *pending) put(r row) {
	if p.rows == nil {
		p.rows = map[key]row{}
	}
	r.bytes += rowBytes
	old, ok := p.rows[r.key]
	if !ok {
		p.order = append(p.order, r.key)
	}
	p.rows[r.key] = r
	if p.bytes += int64(r.bytes - old.bytes); p.bytes > mostPendingBytes {
		p.giveUp()
	}
}

// giveUp drops the oldest rows down to nine tenths of the bound: transmissions last, without which texts are nothing.
func (p *pending) giveUp() {
	drop := func(may func(key) bool) {
		p.order = slices.DeleteFunc(p.order, func(k key) bool {
			if p.bytes <= mostPendingBytes*9/10 || !may(k) {
				return false
			}
			p.bytes -= int64(p.rows[k].bytes)
			delete(p.rows, k)
			p.lost++
			return true
		})
	}
	drop(func(k key) bool { return k.table != tableTransmission && k.table != tableChart })
	drop(func(key) bool { return true })
}

// take takes out the oldest rows.
func (p *pending) take(most int) []row {
	n := min(most, len(p.order))
	rows := make([]row, n)
	for i, k := range p.order[:n] {
		rows[i] = p.rows[k]
		p.bytes -= int64(rows[i].bytes)
		delete(p.rows, k)
	}
	p.order = slices.Clone(p.order[n:])
	p.flying = n
	for _, r := range rows {
		p.flyingBytes += int64(r.bytes)
	}
	return rows
}

// written notes that what was taken is in the database.
func (p *pending) written() { p.flying, p.flyingBytes = 0, 0 }

// giveBack puts back rows that were not written, before all others, but for those that have a successor by now.
func (p *pending) giveBack(rows []row) {
	p.written()
	var order []key
	for _, r := range rows {
		if _, ok := p.rows[r.key]; !ok {
			p.rows[r.key] = r
			p.bytes += int64(r.bytes)
			order = append(order, r.key)
		}
	}
	p.order = append(order, p.order...)
	if p.bytes > mostPendingBytes {
		p.giveUp()
	}
}
