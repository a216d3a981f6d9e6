package psk

import (
	"errors"
	"io"
	"iter"

	"ionoscribe/demod"
)

// All decodes src to its end, for those who would rather pull. What was heard before a read error comes before the error. The rate in
// c is that of src if it is zero.
func All(src demod.SampleReader, c Config) iter.Seq2[Char, error] {
	return func(yield func(Char, error) bool) {
		if c.SampleRate == 0 {
			c.SampleRate = src.SampleRate()
		}
		more := true
		d, err := New(c, Events{Char: func(ch Char) { more = more && yield(ch, nil) }})
		if err != nil {
			yield(Char{}, err)
			return
		}
		buf, n := make([]float32, 4096), 0
		for more && err == nil {
			n, err = src.ReadSamples(buf)
			d.Write(buf[:n])
		}
		if more {
			d.Flush()
		}
		if more && !errors.Is(err, io.EOF) {
			yield(Char{}, err)
		}
	}
}
