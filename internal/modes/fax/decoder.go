package fax

import (
	"ionoscribe/fax"
	"ionoscribe/internal/mode"
)

func newDecoder(o mode.Order, t mode.Told) (mode.Decoder, error) {
	c := fax.Config{SampleRate: o.SampleRate}
	if s, ok := o.Settings.(fax.Settings); ok {
		c.IOC, c.LPM = s.IOC, s.LPM
	}
	e := fax.Events{Undrawn: t.Undrawn}
	if t.State != nil {
		e.State = func(s fax.State) {
			h := mode.Heard{At: s.At, Lost: !s.Receiving, Words: "lost", Fields: struct{}{}}
			if s.Receiving {
				h.Settings, h.Words, h.Fields = s.Settings(), s.Settings().String(), fields{s.LPM, s.IOC}
			}
			t.State(h)
		}
	}
	return fax.New(c, e)
}
