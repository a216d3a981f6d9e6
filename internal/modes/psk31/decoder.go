package psk31

import (
	"fmt"

	"ionoscribe/internal/mode"
	"ionoscribe/psk"
)

// orderHz is by how much what a survey measured may be off: the next signal may be 40 Hz away.
const orderHz = 15.0

// newDecoder makes a decoder of what c orders and o says besides.
func newDecoder(c psk.Config, o mode.Order, t mode.Told) (mode.Decoder, error) {
	c.SampleRate = o.SampleRate
	if o.Hz != 0 {
		c.PitchHz, c.OffHz = o.Hz, orderHz
	}
	settings, ordered := o.Settings.(psk.Settings)
	if ordered {
		c.QPSK = settings.QPSK
	}
	settings.QPSK = c.QPSK
	several := c.Signals > 1
	var e psk.Events
	if t.Text != nil {
		e.Char = func(c psk.Char) { t.Text(heardChar(c, several)) }
	}
	if t.State != nil {
		e.State = func(s psk.State) { t.State(heardState(s, settings, several)) }
	}
	return psk.New(c, e)
}

// numbered is the number of a signal if there may be several at a time.
func numbered(signal int, several bool) int {
	if several {
		return signal
	}
	return 0
}

// charFields are what JSON has of a character.
type charFields struct {
	Text       string  `json:"text"`
	Confidence float64 `json:"confidence"`
}

func heardChar(c psk.Char, several bool) mode.Heard {
	text := string(c.Rune)
	return mode.Heard{
		At: c.At, Signal: numbered(c.Signal, several), Hz: c.PitchHz, Text: text, Confidence: c.Confidence,
		Fields: charFields{text, rounded(c.Confidence, 1000)},
	}
}

// stateFields are what JSON has of a state.
type stateFields struct {
	fields
	SNR float64 `json:"snr_db"`
}

func heardState(s psk.State, settings psk.Settings, several bool) mode.Heard {
	h := mode.Heard{At: s.At, Signal: numbered(s.Signal, several), Hz: s.PitchHz, Lost: !s.Receiving, Words: "lost", Fields: struct{}{}}
	if s.Receiving {
		h.Settings = settings
		h.Words = fmt.Sprintf("%6.1f Hz  %s  %5.1f dB", s.PitchHz, h.Settings, s.SNR)
		if several { // the pitch is before the words
			h.Words = fmt.Sprintf("%s  %5.1f dB", h.Settings, s.SNR)
		}
		h.Fields = stateFields{fieldsOf(settings), rounded(s.SNR, 10)}
	}
	return h
}
