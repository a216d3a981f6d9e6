package rtty

import "fmt"

// Encoder turns text into codes; its zero value sends ITA2.
type Encoder struct {
	Alphabet Alphabet
	// DoubleReturn makes a new line CR CR LF, as meteorological bulletins have it (WMO-No. 386, attachment II-5, from
	// memory), to give the carriage its time; else it is CR LF.
	DoubleReturn bool
	// ShiftAfterSpace sends the figures shift again for a figure after a space, because some printers return to
	// letters at a space.
	ShiftAfterSpace bool
	// Replace is sent for a character that the alphabet lacks; 0: such a character is an error.
	Replace rune
}

// Encode gives the codes of text. '\n', with or without a '\r' before it, is a new line; a '\r' alone is a carriage
// return. Small letters are sent as capitals where the alphabet has only those. A shift is sent where the next
// character needs another than is in force, and before the first character that needs one, since no one knows in
// which a distant printer is.
func (e Encoder) Encode(text string) ([]Code, error) {
	if !e.Alphabet.Known() {
		return nil, fmt.Errorf("radioteletype: unknown %v", e.Alphabet)
	}
	codes := make([]Code, 0, len(text)+len(text)/4+2)
	shift, known := Letters, false
	put := func(p place) {
		if !p.both && (!known || shift != p.shift) {
			shift, known = p.shift, true
			codes = append(codes, e.Alphabet.Idle(shift))
		}
		codes = append(codes, p.code)
	}
	cr, _ := e.Alphabet.find('\r')
	space, _ := e.Alphabet.find(' ')
	returns, want := 0, 1 // before a line feed
	if e.DoubleReturn {
		want = 2
	}
	for at, r := range text {
		switch r {
		case '\r':
			returns++
		case '\n':
			for ; returns < want; returns++ {
				put(cr)
			}
			fallthrough
		default:
			returns = 0
		}
		p, ok := e.Alphabet.find(r)
		if !ok {
			if p, ok = e.Alphabet.find(e.Replace); !ok || e.Replace == 0 {
				return nil, fmt.Errorf("radioteletype: %v has no %q, which is at byte %d of the text", e.Alphabet, r, at)
			}
		}
		put(p)
		if p == space && e.ShiftAfterSpace && shift == Figures {
			known = false
		}
	}
	return codes, nil
}
