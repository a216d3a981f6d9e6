package audio

import (
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math"
)

// WAVWriter writes one channel as WAV, or I and Q as its two, in 16-bit integer or 32-bit float samples. The first
// error sticks.
//
// The lengths in its header are 0xFFFFFFFF, "open", until Close goes back and fills them in; on a pipe they
// stay so. More than 4 GiB becomes RF64: the room of its ds64 chunk is held by a JUNK chunk from the
// beginning, as EBU Tech 3306 section 4 has it.
type WAVWriter struct {
	w      io.Writer
	buf    []byte         // not yet written; never grows
	seeker io.WriteSeeker // nil on a pipe
	enc    Encoding
	rate   uint32
	count  int    // of channels
	size   uint64 // of the samples so far, bytes
	err    error
	finish func(error) error // closes and renames what CreateWAV made
}

// NewWAVWriter begins a WAV on w; rate is in whole Hz, enc is S16 or F32. If w can seek it must stand at its
// beginning. Close does not close w.
func NewWAVWriter(w io.Writer, rate float64, enc Encoding) (*WAVWriter, error) {
	return newWAVWriter(w, rate, enc, 1)
}

// NewIQWAVWriter is NewWAVWriter for complex samples: I is the left channel, Q the right one.
func NewIQWAVWriter(w io.Writer, rate float64, enc Encoding) (*WAVWriter, error) {
	return newWAVWriter(w, rate, enc, 2)
}

func newWAVWriter(w io.Writer, rate float64, enc Encoding, channels int) (*WAVWriter, error) {
	if rate != math.Trunc(rate) || !(rate >= MinRate && rate <= MaxRate) {
		return nil, fmt.Errorf("audio: WAV with %g Hz; give a whole number from %d to %d", rate, MinRate, MaxRate)
	}
	if enc != S16 && enc != F32 {
		return nil, fmt.Errorf("audio: WAV with samples of %q; give %s or %s", enc, S16, F32)
	}
	x := &WAVWriter{w: w, buf: make([]byte, 0, ioBlock), enc: enc, rate: uint32(rate), count: channels}
	if s, ok := w.(io.WriteSeeker); ok {
		if at, err := s.Seek(0, io.SeekCurrent); err == nil && at == 0 {
			x.seeker = s
		}
	}
	x.buf = append(x.buf, x.header(openSize, openSize)...)
	return x, nil
}

// header is all that precedes the samples. riff and data are sizes in bytes; those that do not fit into 32
// bits make it RF64.
func (x *WAVWriter) header(riff, data uint64) []byte {
	le := binary.LittleEndian
	b := make([]byte, 0, 128)
	if riff <= openSize {
		b = le.AppendUint32(append(b, "RIFF"...), uint32(riff))
		b = le.AppendUint32(append(b, "WAVEJUNK"...), 28)
		b = append(b, make([]byte, 28)...)
	} else {
		b = le.AppendUint32(append(b, "RF64"...), openSize)
		b = le.AppendUint32(append(b, "WAVEds64"...), 28)
		b = le.AppendUint64(b, riff)
		b = le.AppendUint64(b, data)
		b = le.AppendUint64(b, data/uint64(x.frame()))
		b = le.AppendUint32(b, 0)
		data = openSize
	}
	// All but integers have a longer format chunk and a count of samples (Microsoft, "New Multimedia Data
	// Types and Data Techniques", 1994).
	tag, fmtSize := uint16(tagPCM), uint32(16)
	if x.enc == F32 {
		tag, fmtSize = tagFloat, 18
	}
	b = le.AppendUint32(append(b, "fmt "...), fmtSize)
	b = le.AppendUint16(b, tag)
	b = le.AppendUint16(b, uint16(x.count))
	b = le.AppendUint32(b, x.rate)
	b = le.AppendUint32(b, x.rate*uint32(x.frame()))
	b = le.AppendUint16(b, uint16(x.frame()))
	b = le.AppendUint16(b, uint16(x.width()*8))
	if x.enc == F32 {
		b = le.AppendUint16(b, 0) // nothing more
		b = le.AppendUint32(append(b, "fact"...), 4)
		if data != openSize {
			b = le.AppendUint32(b, uint32(data)/uint32(x.frame()))
		} else {
			b = le.AppendUint32(b, openSize)
		}
	}
	return le.AppendUint32(append(b, "data"...), uint32(data))
}

// width is the size of a sample in bytes. It is even, so the data chunk never needs padding.
func (x *WAVWriter) width() int { return encodings[x.enc].width }

// frame is the size in bytes of a sample of each channel.
func (x *WAVWriter) frame() int { return x.count * x.width() }

// WriteIQ appends complex samples to what NewIQWAVWriter made; see WriteSamples.
func (x *WAVWriter) WriteIQ(src []complex64) error {
	var pairs [512]float32
	for len(src) > 0 && x.err == nil {
		n := min(len(src), len(pairs)/2)
		for i, z := range src[:n] {
			pairs[2*i], pairs[2*i+1] = real(z), imag(z)
		}
		x.WriteSamples(pairs[:2*n])
		src = src[n:]
	}
	return x.err
}

// WriteSamples appends samples. S16 rounds to the nearest step and limits to full scale; what is not a
// number becomes silence.
func (x *WAVWriter) WriteSamples(src []float32) error {
	for len(src) > 0 && x.err == nil {
		if cap(x.buf)-len(x.buf) < x.width() {
			x.Flush()
			continue
		}
		n := min(len(src), (cap(x.buf)-len(x.buf))/x.width())
		for _, v := range src[:n] {
			if x.enc == S16 {
				x.buf = binary.LittleEndian.AppendUint16(x.buf, uint16(toS16(v)))
			} else {
				x.buf = binary.LittleEndian.AppendUint32(x.buf, math.Float32bits(sane(v)))
			}
		}
		x.size += uint64(n * x.width())
		src = src[n:]
	}
	return x.err
}

// toS16 is the inverse of decodeS16.
func toS16(v float32) int16 {
	switch v *= 1 << 15; {
	case v >= math.MaxInt16:
		return math.MaxInt16
	case v <= math.MinInt16:
		return math.MinInt16
	case v >= 0:
		return int16(v + 0.5)
	case v < 0:
		return int16(v - 0.5)
	}
	return 0 // NaN
}

// Flush passes on what is buffered, for a pipe whose reader listens along.
func (x *WAVWriter) Flush() error {
	if x.err == nil {
		_, x.err = x.w.Write(x.buf)
		x.buf = x.buf[:0]
	}
	return x.err
}

var errClosed = errors.New("audio: WAV writer is closed")

// Close completes the WAV and returns the first error of all. A WAV from CreateWAV gets its name now, and
// only if there was no error.
func (x *WAVWriter) Close() error {
	if x.err == errClosed {
		return nil
	}
	err := x.Flush()
	if err == nil && x.seeker != nil {
		err = x.patch()
	}
	x.err = errClosed
	if x.finish != nil {
		err = x.finish(err)
	}
	return err
}

// Abort gives up: a WAV from CreateWAV leaves no file.
func (x *WAVWriter) Abort() {
	if x.err == nil {
		x.err = errAborted
	}
	x.Close()
}

var errAborted = errors.New("audio: WAV writer is aborted")

// patch fills in the lengths and leaves the writer at the end.
func (x *WAVWriter) patch() error {
	if _, err := x.seeker.Seek(0, io.SeekStart); err != nil {
		return err
	}
	header := uint64(len(x.header(0, 0)))
	if _, err := x.seeker.Write(x.header(header-8+x.size, x.size)); err != nil {
		return err
	}
	_, err := x.seeker.Seek(0, io.SeekEnd)
	return err
}
