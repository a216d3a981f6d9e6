package psk

import (
	"iter"

	"ionoscribe/demod"
)

// All decodes src to its end, for those who would rather pull. What was heard before a read error comes before the
// error. The rate in c is that of src if it is zero.
func All(src demod.SampleReader, c Config) iter.Seq2[Char, error] {
	if c.SampleRate == 0 {
		c.SampleRate = src.SampleRate()
	}
	return demod.Pull(src, func(hear func(Char)) (demod.Decoder, error) {
		return New(c, Events{Char: hear})
	})
}
