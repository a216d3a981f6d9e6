package audio

import (
	"bufio"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math"
	"time"
)

// Layout (Microsoft and IBM, Multimedia Programming Interface and Data Specifications 1.0, 1991; numbers have
// the lowest byte first; an odd chunk is followed by a zero that its size does not count):
//
//	"RIFF" size32 "WAVE"  { id[4] size32 content }...
//	"fmt "  tag16 channels16 rate32 bytesPerSecond32 frameBytes16 bits16 [ extra16 validBits16 mask32 guid[16] ]
//	"data"  frames
//
// RF64 (EBU Tech 3306) and BW64 (ITU-R BS.2088) differ in the first word and have, as first chunk
//
//	"ds64"  riffSize64 dataSize64 frames64 entries32 { id[4] size64 }...
//
// whose sizes hold wherever a 32-bit one is 0xFFFFFFFF.
const (
	tagPCM        = 1
	tagFloat      = 3
	tagExtensible = 0xFFFE // the first two bytes of guid are the tag, the rest guidTail
	guidTail      = "\x00\x00\x00\x00\x10\x00\x80\x00\x00\xaa\x00\x38\x9b\x71"

	openSize = math.MaxUint32 // a size that ds64 holds, or that a writer left open

	maxChunks = 1000 // before the data; an endless stream of empty chunks must end
)

// wavHeader is what precedes the samples.
type wavHeader struct {
	format   pcmFormat
	rate     float64 // Hz
	channels int
	bext     time.Time // zero: not stated
	offset   int64     // of the samples from the beginning of the source, bytes
	size     uint64    // of the samples as stated, bytes
}

func (s *Source) openWAV(br *bufio.Reader, in input, o Options) error {
	h, err := readWAVHeader(br)
	if err != nil {
		if err == io.EOF || err == io.ErrUnexpectedEOF {
			err = mended{fmt.Errorf("ends inside the WAV header: %w", io.ErrUnexpectedEOF), "record it again"}
		}
		return err
	}
	s.channels, s.bext = h.channels, h.bext
	stated, there := int64(min(h.size, math.MaxInt64)), int64(-1)
	open := leftOpen(h.size)
	if in.size >= 0 {
		there = max(in.size-h.offset, 0)
		if open && (stated == 0 || stated > there) {
			stated = there
		}
		there = min(there, stated)
	} else if open {
		stated = -1
	}
	return s.openPCM(br, h.format, h.rate, stated, there, o)
}

// leftOpen tells that a size of the samples is what writers leave that could not go back and fill it in: 0,
// or the largest that they can express with 32 or 31 bits, less a header or a block of theirs (SoX 14.4.2 on
// a pipe: 0x7FFFF000). The samples then go on to the end of the source.
func leftOpen(size uint64) bool {
	const margin = 1 << 16
	return size == 0 || size <= openSize && size > openSize-margin || size <= math.MaxInt32 && size > math.MaxInt32-margin
}

func readWAVHeader(r *bufio.Reader) (h wavHeader, err error) {
	var b [12]byte
	if _, err := io.ReadFull(r, b[:]); err != nil {
		return h, err
	}
	if string(b[8:]) != "WAVE" {
		return h, mended{fmt.Errorf("is RIFF of the kind %q, not WAVE", b[8:]), "convert it to WAV"}
	}
	c := chunks{r: r, offset: 12}
	var stamp bextStamp
	for range maxChunks {
		id, size, err := c.next()
		if err != nil {
			return h, err
		}
		switch id {
		case "ds64":
			err = c.readDS64()
		case "fmt ":
			err = h.readFormat(&c)
		case "bext":
			err = stamp.read(&c)
		case "data":
			if h.format.decode == nil {
				return h, mended{errors.New("has its samples before their format"), "convert it to WAV again"}
			}
			h.bext = stamp.start(h.rate)
			h.offset, h.size = c.offset, size
			return h, nil
		}
		if err == nil {
			err = c.skip()
		}
		if err != nil {
			return h, err
		}
	}
	return h, mended{fmt.Errorf("has no samples within its first %d chunks", maxChunks), "convert it to WAV again"}
}

// readFormat reads the chunk "fmt ".
func (h *wavHeader) readFormat(c *chunks) error {
	b, err := c.read(40)
	if err != nil {
		return err
	}
	if len(b) < 16 {
		return mended{fmt.Errorf("has a format chunk of %d bytes", len(b)), "convert it to WAV again"}
	}
	u16 := func(i int) int { return int(binary.LittleEndian.Uint16(b[i:])) }
	tag, frame, bits := u16(0), u16(12), u16(14)
	h.channels, h.rate = u16(2), float64(binary.LittleEndian.Uint32(b[4:]))
	if tag == tagExtensible && len(b) == 40 && string(b[26:]) == guidTail {
		tag = u16(24)
	}
	width := (bits + 7) / 8 // fewer bits lie at the top of their bytes
	var e Encoding
	switch {
	case tag == tagPCM && width >= 1 && width <= 4:
		e = [...]Encoding{U8, S16, S24, S32}[width-1]
	case tag == tagFloat && bits == 32:
		e = F32
	case tag == tagFloat && bits == 64:
		e = F64
	default:
		return mended{fmt.Errorf("has samples of %d bits in format 0x%04X", bits, tag),
			"convert it to WAV with integer samples of 8 to 32 bits or float samples"}
	}
	if frame != width*h.channels {
		return mended{fmt.Errorf("contradicts itself: %d channels of %d bits in %d bytes", h.channels, bits, frame),
			"convert it to WAV again"}
	}
	h.format = encodings[e]
	return nil
}

// chunks walks the chunks of a WAV, forwards only.
type chunks struct {
	r      *bufio.Reader
	offset int64             // bytes from the beginning of the source
	left   uint64            // bytes of the present chunk that are not yet read, with its padding
	size   uint64            // of the present chunk
	large  map[string]uint64 // sizes from ds64
}

func (c *chunks) next() (id string, size uint64, err error) {
	var b [8]byte
	if _, err := io.ReadFull(c.r, b[:]); err != nil {
		return "", 0, err
	}
	id, c.size = string(b[:4]), uint64(binary.LittleEndian.Uint32(b[4:]))
	if n, ok := c.large[id]; ok && c.size == openSize {
		c.size = n
	}
	c.offset += 8
	c.left = c.size + c.size&1
	return id, c.size, nil
}

// read gives up to n bytes of the chunk's content: fewer if it has fewer.
func (c *chunks) read(n int) ([]byte, error) {
	b := make([]byte, min(uint64(n), c.size))
	got, err := io.ReadFull(c.r, b)
	c.offset += int64(got)
	c.left -= uint64(got)
	return b, err
}

// skip passes over what is left of the chunk.
func (c *chunks) skip() error {
	if c.left > math.MaxInt64 {
		return io.ErrUnexpectedEOF
	}
	n, err := io.CopyN(io.Discard, c.r, int64(c.left))
	c.offset += n
	return err
}

// readDS64 reads the size of the samples, and of no other chunk: those that precede them are never as large.
func (c *chunks) readDS64() error {
	b, err := c.read(16)
	if err != nil || len(b) < 16 {
		return err
	}
	c.large = map[string]uint64{"data": binary.LittleEndian.Uint64(b[8:])}
	return nil
}
