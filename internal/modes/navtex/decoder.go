package navtex

import (
	"fmt"
	"math"

	"ionoscribe/internal/mode"
	"ionoscribe/rtty/modeb"
)

// newDecoder makes a decoder that tells all text, of what c orders and o says besides.
func newDecoder(c modeb.Config, o mode.Order, t mode.Told) (*modeb.Decoder, error) {
	var e modeb.Events
	if t.Text != nil {
		e.Char = func(c modeb.Char) {
			if c.Rune != 0 {
				t.Text(heardLetter(c.At, modeb.Letter{Rune: c.Rune, Confidence: c.Confidence}))
			}
		}
	}
	e.State = stateHook(t)
	return modeb.New(ordered(c, o), e)
}

func stateHook(t mode.Told) func(modeb.State) {
	if t.State == nil {
		return nil
	}
	return func(s modeb.State) { t.State(heardState(s)) }
}

// ordered is what c and o order together.
func ordered(c modeb.Config, o mode.Order) modeb.Config {
	c.SampleRate = o.SampleRate
	if o.Hz != 0 {
		c.CentreHz = o.Hz
	}
	return c
}

// charFields are what JSON has of a character.
type charFields struct {
	Text       string  `json:"text"`
	Confidence float64 `json:"confidence"`
}

func heardLetter(at int64, l modeb.Letter) mode.Heard {
	text := string(l.Rune)
	return mode.Heard{At: at, Text: text, Confidence: l.Confidence, Fields: charFields{text, rounded(l.Confidence, 1000)}}
}

// stateFields are what JSON has of a state.
type stateFields struct {
	fields
	SNR float64 `json:"snr_db"`
}

func heardState(s modeb.State) mode.Heard {
	if !s.Receiving {
		return mode.Heard{At: s.At, Lost: true, Words: "lost", Fields: struct{}{}}
	}
	return mode.Heard{
		At: s.At, Hz: s.CentreHz, Settings: s.Settings(),
		Words:  fmt.Sprintf("%6.1f Hz  shift %5.1f Hz  B %s  %5.1f dB", s.CentreHz, s.ShiftHz, s.Settings().B(), s.SNR),
		Fields: stateFields{fieldsOf(s.Settings()), rounded(s.SNR, 10)},
	}
}

// rounded is v to the nearest part of 1/by.
func rounded(v, by float64) float64 { return math.Round(v*by) / by }
