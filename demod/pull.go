package demod

import (
	"errors"
	"io"
	"iter"
)

// Decoder is what decoders have in common: samples are pushed into it, and it calls hooks.
type Decoder interface {
	Write(block []float32)
	Flush()
}

// Pull decodes src to its end, for those who would rather pull. newDecoder makes the decoder, whose hook is hear. What was heard before
// a read error comes before the error.
func Pull[T any](src SampleReader, newDecoder func(hear func(T)) (Decoder, error)) iter.Seq2[T, error] {
	return func(yield func(T, error) bool) {
		var none T
		more := true
		d, err := newDecoder(func(v T) { more = more && yield(v, nil) })
		if err == nil {
			err = drain(src, d, &more)
		}
		if more && err != nil {
			yield(none, err)
		}
	}
}

// Drain decodes src to its end; a read error comes after what was heard before it.
func Drain(src SampleReader, d Decoder) error {
	more := true
	return drain(src, d, &more)
}

// drain is Drain for as long as more is wanted.
func drain(src SampleReader, d Decoder, more *bool) (err error) {
	buf, n := make([]float32, 4096), 0
	for *more && err == nil {
		n, err = src.ReadSamples(buf)
		d.Write(buf[:n])
	}
	if *more {
		d.Flush()
	}
	if errors.Is(err, io.EOF) {
		err = nil
	}
	return err
}
