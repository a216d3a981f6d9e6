package rtty

import (
	"fmt"
	"math"

	"ionoscribe/internal/mode"
	"ionoscribe/rtty"
)

// newDecoder makes a decoder of what c orders and o says besides.
func newDecoder(c rtty.Config, o mode.Order, t mode.Told) (mode.Decoder, error) {
	c.SampleRate = o.SampleRate
	if o.Hz != 0 {
		c.CentreHz = o.Hz
	}
	if s, ok := o.Settings.(rtty.Settings); ok {
		c.ShiftHz = s.ShiftHz
		if !o.Free {
			c.Baud, c.Polarity, c.Alphabets = s.Baud, s.Polarity, []rtty.Alphabet{s.Alphabet}
		}
	}
	var e rtty.Events
	if t.Text != nil {
		e.Char = func(c rtty.Char) { t.Text(heardChar(c)) }
	}
	if t.State != nil {
		e.State = func(s rtty.State) { t.State(heardState(s)) }
	}
	return rtty.New(c, e)
}

// charFields are what JSON has of a character.
type charFields struct {
	Text       string  `json:"text"`
	AfterShift bool    `json:"after_shift,omitempty"`
	Confidence float64 `json:"confidence"`
}

func heardChar(c rtty.Char) mode.Heard {
	text := string(c.Rune)
	return mode.Heard{At: c.At, Text: text, Confidence: c.Confidence, Fields: charFields{text, c.AfterShift, rounded(c.Confidence, 1000)}}
}

// stateFields are what JSON has of a state.
type stateFields struct {
	fields
	SNR float64 `json:"snr_db"`
}

func heardState(s rtty.State) mode.Heard {
	if !s.Receiving {
		return mode.Heard{At: s.At, Lost: true, Words: "lost", Fields: struct{}{}}
	}
	return mode.Heard{
		At: s.At, Hz: s.CentreHz, Settings: s.Settings(),
		Words: fmt.Sprintf("%6.1f Hz  shift %5.1f Hz  %6.2f Bd  mark %s  %s  %5.1f dB",
			s.CentreHz, s.ShiftHz, s.Baud, s.Settings().Mark(), s.Alphabet, s.SNR),
		Fields: stateFields{fieldsOf(s.Settings()), rounded(s.SNR, 10)},
	}
}

// rounded is v to the nearest part of 1/by.
func rounded(v, by float64) float64 { return math.Round(v*by) / by }
