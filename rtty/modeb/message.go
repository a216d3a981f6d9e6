package modeb

import "fmt"

// Message is a NAVTEX message (ITU-R M.540-2, annex II): what was sent between ZCZC and NNNN.
type Message struct {
	At, End int64 // sample indices of the beginning of its last reception, and of its end
	// Station (B1) is A to X, Number (B3 B4) 0 to 99.
	Station byte
	Subject Subject // B2
	Number  int
	// Sure is the probability that all of B1 B2 B3 B4 are right.
	Sure float64
	// Text is what stands behind the preamble, the characters of all receptions joined.
	Text       []Letter
	Complete   bool // NNNN was heard
	Receptions int
	Wrong      float64 // characters that are wrong, as is expected by their confidence
}

// Letter is a character that prints, with the probability that it is right. A new line is one '\n'.
type Letter struct {
	Rune       rune
	Confidence float64
}

// Preamble is B1 B2 B3 B4: "EA01".
func (m *Message) Preamble() string {
	return fmt.Sprintf("%c%c%02d", m.Station, byte(m.Subject), m.Number)
}

// String is the text alone.
func (m *Message) String() string {
	runes := make([]rune, len(m.Text))
	for i, l := range m.Text {
		runes[i] = l.Rune
	}
	return string(runes)
}

const (
	// wellWrong is the share of characters that may be wrong of a message that was received well: a receiver takes note of a
	// message as received, and prints it no more, if less than 4 % of it is wrong (ITU-R M.540-2, annex II, from memory); here
	// likelihoods are joined, so more can be had.
	wellWrong = 0.005
	wellSure  = 0.99
)

// Well says that the message was received well: to hear it again adds nothing.
func (m *Message) Well() bool {
	return m.Complete && m.Sure >= wellSure && m.Wrong <= wellWrong*float64(len(m.Text))
}

// Subject is the second letter of the preamble, B2.
type Subject byte

// String is the subject in words (IMO MSC.1/Circ.1403, table 1).
func (s Subject) String() string {
	switch s {
	case 'A':
		return "navigational warning"
	case 'B':
		return "meteorological warning"
	case 'C':
		return "ice report"
	case 'D':
		return "search and rescue, piracy or tsunami information"
	case 'E':
		return "meteorological forecast"
	case 'F':
		return "pilot and vessel traffic service message"
	case 'G':
		return "AIS message"
	case 'H':
		return "LORAN message"
	case 'J':
		return "GNSS message"
	case 'K':
		return "message on other aids to navigation"
	case 'L':
		return "further navigational warning"
	case 'V', 'W', 'X', 'Y':
		return "special service"
	case 'Z':
		return "no message on hand"
	}
	return "subject " + string(rune(s)) + ", not assigned"
}

// Mandatory says that a receiver must not leave messages of the subject out (IMO MSC.1/Circ.1403, 5.3.4).
func (s Subject) Mandatory() bool { return s == 'A' || s == 'B' || s == 'D' || s == 'L' }

// Caution is what whoever shows messages has to say.
const Caution = "This is no approved receiver and does not replace one."
