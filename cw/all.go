package cw

import (
	"iter"

	"ionoscribe/demod"
)

// All decodes src to its end, as an iterator. Characters that were received before a read error come before the error. If
// the rate in c is zero, it is that of src.
func All(src demod.SampleReader, c Config) iter.Seq2[Char, error] {
	if c.SampleRate == 0 {
		c.SampleRate = src.SampleRate()
	}
	return demod.Pull(src, func(hear func(Char)) (demod.Decoder, error) {
		return New(c, Events{Char: hear})
	})
}
