package archive

import (
	"strings"
	"time"
	"unicode/utf8"
)

// Tables of pending rows.
const (
	tableTransmission = "transmission"
	tableLine         = "line"
	tableLevel        = "level"
	tableChart        = "chart"
	tableIncident     = "incident"
	tableExpected     = "expected"
	tableDeletion     = "deletion"
	tableIndex        = "word_index"
)

// arriving is a transmission that has not ended.
type arriving struct {
	Transmission
	line       *Line // that is not complete; nil: none
	columns    int   // of it
	last       time.Time
	confidence float64 // sum, of all characters
	textBytes  int64
	level      int64   // time of the last one, ms
	section    section // of its lines that are complete
}

// The methods that tell of what is heard. They never wait.

// Begin tells of a new transmission, and gives it a number.
func (a *Archive) Begin(t Transmission) ID {
	a.mutex.Lock()
	defer a.mutex.Unlock()
	a.lastID++
	t.ID, t.State = a.lastID, Arriving
	t.Quality, t.Lines, t.Characters, t.Doubtful = 0, 0, 0, 0
	if t.Ended.Before(t.Begun) {
		t.Ended = t.Begun
	}
	n := &arriving{Transmission: t}
	a.arriving[t.ID] = n
	a.putTransmission(n)
	return t.ID
}

// Change changes what is known of a transmission that has not ended; change is called at once.
func (a *Archive) Change(id ID, change func(*Transmission)) {
	a.mutex.Lock()
	defer a.mutex.Unlock()
	t := a.arriving[id]
	if t == nil {
		return
	}
	changed := t.Transmission
	change(&changed)
	changed.ID, changed.State = t.ID, t.State
	changed.Lines, changed.Characters, changed.Doubtful = t.Lines, t.Characters, t.Doubtful
	if changed == t.Transmission {
		return
	}
	t.Transmission = changed
	a.putTransmission(t)
}

// Text adds a character. A line ends with "\n", after a pause, or at a gap between words when it is long.
func (a *Archive) Text(id ID, c Char) {
	a.mutex.Lock()
	defer a.mutex.Unlock()
	t := a.arriving[id]
	if t == nil || c.Text == "" {
		return
	}
	c.Confidence = unit(c.Confidence)
	if t.line != nil && (c.At.Sub(t.last) > linePause || c.Text == " " && t.columns >= lineWidth || t.columns >= mostColumns) {
		a.endLine(t)
	}
	t.last = c.At
	if c.Text == "\n" {
		a.endLine(t)
		return
	}
	if t.line == nil {
		if c.Text == " " || t.Lines >= mostLines {
			return
		}
		t.line, t.columns = &Line{Transmission: id, Number: t.Lines, Begun: c.At}, 0
		t.Lines++
	}
	t.line.Chars = append(t.line.Chars, c)
	t.line.Ended = c.At
	t.columns += utf8.RuneCountInString(c.Text)
	t.count(c)
	a.putLine(*t.line)
	if len(t.line.Chars) == 1 { // and what the line adds up to is written when it is complete
		a.putTransmission(t)
	}
}

// count counts a character.
func (t *arriving) count(c Char) {
	if c.At.After(t.Ended) {
		t.Ended = c.At
	}
	t.Characters++
	t.confidence += c.Confidence
	t.textBytes += int64(len(c.Text)) + 4
	if c.Confidence < Doubt {
		t.Doubtful++
	}
}

func (t *arriving) meanConfidence() float64 { return t.confidence / max(1, float64(t.Characters)) }

// What ends a line is as in the files of texts; a line without any gap ends all the same.
const (
	lineWidth   = 80
	linePause   = 10 * time.Second
	mostColumns = 400
)

// endLine completes the line of a transmission, if there is one.
func (a *Archive) endLine(t *arriving) {
	if t.line == nil {
		return
	}
	full := t.section.add(*t.line)
	t.line = nil
	a.putSection(t.ID, t.section)
	a.putTransmission(t)
	if full {
		t.section = t.section.next()
	}
}

// SNR tells of the strength of a transmission; of those in the same ten seconds the last one is kept.
func (a *Archive) SNR(id ID, at time.Time, dB float64) {
	const every = 10_000 // ms
	ms := at.UnixMilli() / every * every
	a.mutex.Lock()
	defer a.mutex.Unlock()
	a.pending.put(row{key: key{table: tableLevel, a: int64(id), b: ms}, write: func(w *writer) error {
		return w.exec("INSERT OR REPLACE INTO level (transmission, at, snr) VALUES (?, ?, ?)", id, ms, finite(dB))
	}})
	if t := a.arriving[id]; t != nil && at.After(t.Ended) {
		if t.Ended = at; t.level != ms {
			t.level = ms
			a.putTransmission(t)
		}
	}
}

// End tells that nothing more comes of a transmission but charts that are being drawn or saved.
func (a *Archive) End(id ID, at time.Time) {
	a.mutex.Lock()
	defer a.mutex.Unlock()
	t := a.arriving[id]
	if t == nil {
		return
	}
	if !at.IsZero() {
		t.Ended = at
	}
	if t.Ended.Before(t.Begun) { // what was there for a moment
		t.Ended = t.Begun
	}
	a.finish(t, Complete)
}

// cut ends a transmission that nobody ended.
func (a *Archive) cut(id ID, t *arriving) { a.finish(t, Cut) }

func (a *Archive) finish(t *arriving, s State) {
	a.endLine(t)
	t.State = s
	a.putTransmission(t)
	delete(a.arriving, t.ID)
}

// Incident tells of what is no transmission.
func (a *Archive) Incident(i Incident) {
	a.mutex.Lock()
	defer a.mutex.Unlock()
	a.lastIncident++
	id := a.lastIncident
	a.pending.put(row{key: key{table: tableIncident, a: id}, bytes: len(i.Text), write: func(w *writer) error {
		return w.exec(putIncident, id, millis(i.At), i.What, i.Receiver, i.Transmission, finite(i.Seconds), i.Text)
	}})
}

const putIncident = "INSERT OR REPLACE INTO incident (id, at, what, receiver, transmission, seconds, text) VALUES (?, ?, ?, ?, ?, ?, ?)"

// Expect tells of an occurrence of a programme entry, or of what became of it.
func (a *Archive) Expect(e Expected) {
	a.mutex.Lock()
	defer a.mutex.Unlock()
	a.pending.put(row{key: key{table: tableExpected, name: e.Key + "\x00" + e.Receiver}, bytes: len(e.Title) + len(e.Why), write: func(w *writer) error {
		if e.Receiver != "" { // it came after all
			if err := w.exec("DELETE FROM expected WHERE key = ? AND receiver = ''", e.Key); err != nil {
				return err
			}
		}
		return w.exec("INSERT OR REPLACE INTO expected (key, receiver, entry, title, mode, hz, at, closes, outcome, transmission, quality, why) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
			e.Key, e.Receiver, e.Entry, e.Title, e.Mode, finite(e.Hz), millis(e.At), millis(e.Closes), e.Outcome, e.Transmission, unit(e.Quality), e.Why)
	}})
}

// Deleted records the deletion of something that the archive does not keep itself, such as sound.
func (a *Archive) Deleted(d Deletion) {
	a.mutex.Lock()
	defer a.mutex.Unlock()
	a.lastDeletion++
	id := a.lastDeletion
	a.pending.put(row{key: key{table: tableDeletion, a: id}, bytes: len(d.Path) + len(d.Reason), write: func(w *writer) error {
		return w.putDeletion(id, d, true)
	}})
}

func (w *writer) putDeletion(id int64, d Deletion, done bool) error {
	return w.exec("INSERT OR REPLACE INTO deletion (id, at, kind, path, transmission, title, begun, bytes, reason, done) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
		id, millis(d.At), d.Kind, d.Path, d.Transmission, d.Title, millis(d.Begun), d.Bytes, d.Reason, done)
}

// transmissionFields are the columns of a transmission but for its number, in the order of their values.
const transmissionFields = `receiver, source, mode, settings, on_air, hz, low_hz, high_hz, begun, ended, state, time_from, snr, copied, title, entry, notes, rating, favourite,
	lines, characters, doubtful, text_bytes, quality`

// writeTransmission writes one. Where there is one it is changed and not replaced, so that its places in indexes are not
// written anew.
var writeTransmission = func() string {
	var set []string
	for f := range strings.SplitSeq(transmissionFields, ",") {
		f = strings.TrimSpace(f)
		set = append(set, f+" = excluded."+f)
	}
	return "INSERT INTO transmission (id, " + transmissionFields + ") VALUES (?1" + strings.Repeat(", ?", 23) + ", coalesce(" + meanQuality + ", ?)) ON CONFLICT (id) DO UPDATE SET " +
		strings.Join(set, ", ")
}()

// putTransmission has a transmission written as it is now.
func (a *Archive) putTransmission(n *arriving) {
	if n.LowHz == 0 && n.HighHz == 0 {
		n.LowHz, n.HighHz = n.Hz, n.Hz
	}
	t, mean, textBytes := n.Transmission, n.meanConfidence(), n.textBytes
	// The last one is written after all that came before; what ends as arriving is looked after at the next start.
	last := int64(0)
	if t.State != Arriving {
		last = 1
	}
	a.pending.put(row{key: key{table: tableTransmission, a: int64(t.ID), b: last}, bytes: len(t.Notes) + len(t.Title), write: func(w *writer) error {
		err := w.exec(writeTransmission,
			t.ID, t.Receiver, t.Source, t.Mode, t.Settings, t.OnAir, finite(t.Hz), finite(t.LowHz), finite(t.HighHz), millis(t.Begun), millis(t.Ended), t.State,
			t.TimeFrom, finite(t.SNR), t.Copied, t.Title, t.Entry, t.Notes, t.Rating, t.Favourite, t.Lines, t.Characters, t.Doubtful, textBytes, mean)
		if err != nil || t.Title+t.Notes == "" {
			return err
		}
		return w.exec(putAbout, t.ID)
	}})
}

// Numbers of rows of lines.
const (
	lineBits  = 24
	mostLines = 1 << lineBits
)

func lineID(id ID, number int) int64 { return int64(id)<<lineBits | int64(number) }

// putLine has a line written as it is now. Its characters are only ever added to.
func (a *Archive) putLine(l Line) {
	a.pending.put(row{key: key{table: tableLine, a: lineID(l.Transmission, l.Number)}, bytes: 60 * len(l.Chars), write: func(w *writer) error {
		return w.exec("INSERT OR REPLACE INTO line (id, begun, ended, text, chars) VALUES (?, ?, ?, ?, ?)",
			lineID(l.Transmission, l.Number), millis(l.Begun), millis(l.Ended), strings.ToValidUTF8(textOf(l.Chars), "?"), packChars(l.Begun, l.Chars))
	}})
}

// finite makes 0 of what a database cannot hold.
func finite(x float64) float64 {
	if x-x != 0 {
		return 0
	}
	return x
}
