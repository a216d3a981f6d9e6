package cw

import (
	"fmt"

	"ionoscribe/cw"
	"ionoscribe/internal/mode"
)

// newDecoder makes a decoder of what c orders and o says besides.
func newDecoder(c cw.Config, o mode.Order, t mode.Told) (mode.Decoder, error) {
	c.SampleRate = o.SampleRate
	if o.Hz != 0 {
		c.PitchHz = o.Hz
	}
	var e cw.Events
	if t.Text != nil {
		e.Char = func(c cw.Char) { t.Text(heardChar(c)) }
	}
	if t.State != nil {
		e.State = func(s cw.State) { t.State(heardState(s)) }
	}
	return cw.New(c, e)
}

// charFields are what JSON has of a character.
type charFields struct {
	Text       string  `json:"text"`
	Procedure  string  `json:"procedure,omitempty"`
	Confidence float64 `json:"confidence"`
	fields
}

func heardChar(c cw.Char) mode.Heard {
	return mode.Heard{
		At: c.At, Signal: c.Signal, Hz: c.PitchHz, Text: c.Text, Confidence: c.Confidence, Settings: cw.Settings{WPM: c.WPM},
		Fields: charFields{c.Text, c.Procedure, rounded(c.Confidence, 1000), fields{rounded(c.WPM, 10)}},
	}
}

// stateFields are what JSON has of a state.
type stateFields struct {
	fields
	SNR       float64 `json:"snr_db"`
	Weighting float64 `json:"weighting,omitempty"`
	DashRatio float64 `json:"dash_ratio,omitempty"`
}

func heardState(s cw.State) mode.Heard {
	h := mode.Heard{
		At: s.At, Signal: s.Signal, Hz: s.PitchHz, Lost: !s.Receiving, Words: "lost",
		Fields: stateFields{fieldsOf(s.Settings()), rounded(s.SNR, 10), rounded(s.Weighting, 100), rounded(s.DashRatio, 100)},
	}
	if s.Receiving {
		h.Settings = s.Settings()
		h.Words = fmt.Sprintf("%4.1f words a minute  %5.1f dB  dashes of %.1f dots", s.WPM, s.SNR, s.DashRatio)
	}
	return h
}
