package modeb

import "math"

// News says what a reception of a message has brought.
type News uint8

// News.
const (
	First  News = iota // it was not heard before
	Better             // it was heard before, and is known better now
	Again              // it was received well before: it need not be shown
)

func (n News) String() string { return [...]string{"first", "better", "again"}[n] }

// Messages finds NAVTEX messages among characters and puts together those that are sent again. It is one goroutine's at a time
// and starts none.
type Messages struct {
	rate  float64 // samples a second
	heard func(Message, News)

	lead  [len(opening)]Soft // the last characters
	under bool               // a message is under way
	began int64              // its ZCZC
	last  int64              // its last character, or that of the lead
	chars []Soft             // of it
	kept  []*kept
}

// kept is a message as it is remembered.
type kept struct {
	preamble
	chars      []Soft // all that followed ZCZC, without NNNN
	receptions int
	complete   bool
	well       bool
	wrong      float64
	letters    int
	at         int64
}

const (
	opening, ending = "ZCZC", "NNNN"

	// The evidence of ZCZC and of NNNN, of 4 ln 35 = 14.2 at most. Of four characters at random one in exp(6) has as much, of
	// a text that is received hardly any; what follows must be clear in part. A message is cut in two only by what is surer.
	openingLead = 6.0
	endingLead  = 8.0
	// A character is clear with this probability; of noise it is one in thirty.
	clearly    = 0.9
	leastClear = 8
	clearShare = 0.1 // of a message

	// News is better if so many characters less are wrong, as is expected, or so many more are known at the end.
	betterBy = 0.5
	longerBy = 5
	// mostChars of a message: stations have ten minutes each in turn (ITU-R M.540, from memory).
	mostChars = 4500
	// patienceSeconds a message goes on without a character: that of a fade, in which as many are not known.
	patienceSeconds = 12.0
	charSeconds     = 2 * Units / Baud

	// keptSeconds a message is remembered: numbers are used again after that (ITU-R M.540, from memory).
	keptSeconds  = 72 * 3600.0
	mostKept     = 200   // as receivers must (IMO MSC.148(77), from memory)
	mostKeptSoft = 60000 // characters, 8 MB
)

// NewMessages makes one that calls heard for each message when it has ended; sampleRate in Hz is that of the sample indices.
func NewMessages(sampleRate float64, heard func(Message, News)) *Messages {
	m := &Messages{rate: sampleRate, heard: heard, chars: make([]Soft, 0, mostChars)}
	m.forgetLead()
	return m
}

func (m *Messages) forgetLead() {
	for i := range m.lead {
		m.lead[i] = Unknown()
	}
}

// Take takes a character that was received, and the sample index at which its first sending began.
func (m *Messages) Take(at int64, s *Soft) {
	m.Advance(at)
	if missed := math.Round(float64(at-m.last)/(charSeconds*m.rate)) - 1; m.under {
		for range int(missed) {
			m.add(at, Unknown())
		}
	} else if missed > 0 {
		m.forgetLead()
	}
	m.add(at, *s)
}

// Advance tells that everything before a sample index was heard: a message ends if its signal has been away for long.
func (m *Messages) Advance(at int64) {
	if m.under && float64(at-m.last) > patienceSeconds*m.rate {
		m.end(false)
	}
}

// Flush ends the message that is under way.
func (m *Messages) Flush() {
	if m.under {
		m.end(false)
	}
	m.forgetLead()
}

func (m *Messages) add(at int64, s Soft) {
	copy(m.lead[:], m.lead[1:])
	m.lead[len(m.lead)-1] = s
	m.last = at
	if m.under {
		m.chars = append(m.chars, s)
	}
	switch {
	case m.reads(opening, openingLead):
		if m.under {
			m.chars = m.chars[:max(0, len(m.chars)-len(opening))]
			m.end(false)
		}
		m.under, m.began, m.chars = true, at-int64(charSeconds*m.rate*float64(len(opening)-1)), m.chars[:0]
		m.forgetLead()
	case m.under && m.reads(ending, endingLead):
		m.chars = m.chars[:max(0, len(m.chars)-len(ending))]
		m.end(true)
	case m.under && len(m.chars) == mostChars:
		m.end(false)
	}
}

// reads says that the last characters are these letters, with so much evidence at least.
func (m *Messages) reads(letters string, lead float64) bool {
	evidence := float64(len(letters)) * math.Log(float64(len(table)))
	for i := range letters {
		evidence += m.lead[i].Of(letterCodes[letters[i]-'A'])
	}
	return evidence >= lead
}

// letterCodes are those of A to Z.
var letterCodes = codesOf('A', 'Z')

// end ends the message under way.
func (m *Messages) end(complete bool) {
	m.under = false
	m.forgetLead()
	for n := len(m.chars); n > 0; n-- { // idle signals, and what was not heard, at the end
		if c, p := m.chars[n-1].Best(); p > 0.3 && !c.Service() {
			m.chars = m.chars[:n]
			break
		}
	}
	p, ok := readPreamble(m.chars[:min(len(m.chars), longestPreamble)])
	if !ok || !m.clear() {
		return
	}
	m.age()
	k, steps := m.same(p)
	news := Better
	if k == nil {
		k, news = &kept{chars: append([]Soft(nil), m.chars...)}, First
		m.kept = append(m.kept, k)
	} else {
		k.chars = joined(k.chars, m.chars, ended(steps, k.complete, complete))
	}
	before := *k
	k.receptions++
	k.complete = k.complete || complete
	k.at = m.last
	k.preamble, _ = readPreamble(k.chars[:min(len(k.chars), longestPreamble)])
	message := m.message(k)
	k.well, k.wrong, k.letters = message.Well(), message.Wrong, len(message.Text)
	better := k.well && !before.well || k.complete && !before.complete || k.wrong < before.wrong-betterBy || k.letters > before.letters+longerBy
	if news == Better && (before.well || !better) {
		news = Again
	}
	m.bound()
	if m.heard != nil {
		m.heard(message, news)
	}
}

// clear says that enough of the message under way is clear: noise may look like ZCZC.
func (m *Messages) clear() bool {
	n := 0
	for i := range m.chars {
		if _, p := m.chars[i].Best(); p >= clearly {
			n++
		}
	}
	return n >= leastClear && float64(n) >= clearShare*float64(len(m.chars))
}

// message is one as it is known now.
func (m *Messages) message(k *kept) Message {
	msg := Message{At: m.began, End: m.last, Station: k.station, Subject: k.subject, Number: k.number, Sure: k.sure,
		Complete: k.complete, Receptions: k.receptions}
	letters := spell(k.chars)
	skip := len(spell(k.chars[:k.length]))
	for _, l := range letters[skip:] {
		if l.Rune == '\n' && len(msg.Text) == 0 {
			continue
		}
		msg.Text = append(msg.Text, l)
		msg.Wrong += 1 - l.Confidence
	}
	for n := len(msg.Text); n > 0 && (msg.Text[n-1].Rune == '\n' || msg.Text[n-1].Rune == ' '); n-- {
		msg.Text = msg.Text[:n-1]
	}
	return msg
}

// age forgets messages that are older than three days.
func (m *Messages) age() {
	n := 0
	for _, k := range m.kept {
		if float64(m.last-k.at) <= keptSeconds*m.rate {
			m.kept[n] = k
			n++
		}
	}
	clear(m.kept[n:])
	m.kept = m.kept[:n]
}

// bound forgets the oldest messages, until there are not too many.
func (m *Messages) bound() {
	total := 0
	for _, k := range m.kept {
		total += len(k.chars)
	}
	for len(m.kept) > 1 && (len(m.kept) > mostKept || total > mostKeptSoft) {
		oldest := 0
		for i, k := range m.kept {
			if k.at < m.kept[oldest].at {
				oldest = i
			}
		}
		total -= len(m.kept[oldest].chars)
		m.kept = append(m.kept[:oldest], m.kept[oldest+1:]...)
	}
}
