package audio

import (
	"bufio"
	"encoding/binary"
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
	tagALaw       = 6
	tagMuLaw      = 7
	tagExtensible = 0xFFFE // the first two bytes of guid are the tag, the rest guidTail
	guidTail      = "\x00\x00\x00\x00\x10\x00\x80\x00\x00\xaa\x00\x38\x9b\x71"

	openSize = math.MaxUint32 // a size that ds64 holds, or that a writer left open
)

// wavHeader is what precedes the samples.
type wavHeader struct {
	format    pcmFormat
	rate      float64 // Hz
	channels  int
	stamp     time.Time // of the first sample; zero: not stated
	stampFrom string
	offset    int64  // of the samples from the beginning of the source, bytes
	size      uint64 // of the samples as stated, bytes
}

func (s *Source) openWAV(br *bufio.Reader, in input, o Options) error {
	h, err := readWAVHeader(br)
	if err != nil {
		return headerError(err, "WAV")
	}
	s.stamp, s.stampFrom = h.stamp, h.stampFrom
	return s.openWave(br, h, in, o)
}

// headerError is what to say when a header of some kind cannot be read.
func headerError(err error, kind string) error {
	if err == io.EOF || err == io.ErrUnexpectedEOF {
		return mended{fmt.Errorf("ends inside the %s header: %w", kind, io.ErrUnexpectedEOF), "record it again"}
	}
	return err
}

// openWave opens the samples that follow a header.
func (s *Source) openWave(br *bufio.Reader, h wavHeader, in input, o Options) error {
	s.channels = h.channels
	stated, there := int64(min(h.size, math.MaxInt64)), int64(-1)
	open := leftOpen(h.size)
	if in.size >= 0 {
		there = max(in.size-h.offset, 0)
		// What follows such a size is more samples, unless it is so little that it may be a chunk of tags.
		if open && (stated == 0 || stated > there || there-stated > openMargin) {
			stated = there
		}
		there = min(there, stated)
	} else if open {
		stated = -1
	}
	return s.openPCM(br, h.format, h.rate, stated, there, o)
}

// openMargin is by how much a size that was left open may differ from a limit of its field: a header or a block of
// the writer's.
const openMargin = 1 << 16

// leftOpen tells that a size of the samples is what writers leave that could not go back and fill it in: 0, or about
// what 31, 32, 63 or 64 bits can hold. On a pipe SoX 14.4.2 leaves 0x7FFFF000 or a little more, by the format,
// ffmpeg 5.1 0xFFFFFFFF or 0, arecord 0x80000000 (from memory of its source), rounded down to whole frames, and SoX in
// AIFF 0x7F000000. The samples then go on to the end of the source; what is as long by chance does too, give or take a
// chunk of tags.
func leftOpen(size uint64) bool {
	near := func(limit uint64) bool { return size >= limit-openMargin && size <= limit+openMargin }
	return size == 0 || near(1<<31) || near(0x7F000000) || near(1<<32) || size >= math.MaxInt64-openMargin
}

func readWAVHeader(r *bufio.Reader) (h wavHeader, err error) {
	var b [12]byte
	if _, err := io.ReadFull(r, b[:]); err != nil {
		return h, err
	}
	if string(b[8:]) != "WAVE" {
		return h, mended{fmt.Errorf("is RIFF of the kind %q, not WAVE", b[8:]), "convert it to WAV"}
	}
	c := chunks{r: r, offset: 12, layout: riffChunks}
	var stamp bextStamp
	err = c.walk(func(id string, size uint64) error {
		switch id {
		case "ds64":
			return c.readDS64()
		case "fmt ":
			return h.readFormat(&c)
		case "bext":
			return stamp.read(&c)
		case "LIST":
			return h.readInfo(&c)
		case "data":
			return h.samples(&c, size)
		}
		return nil
	})
	if t := stamp.start(h.rate); !t.IsZero() {
		h.stamp, h.stampFrom = t, FromBext
	}
	return h, err
}

// readInfo reads tags from the chunk "LIST", of which ICRD is when the recording was made. It is a time only if it has a
// time of day and a zone.
func (h *wavHeader) readInfo(c *chunks) error {
	const most = 4096 // tags are short
	b, err := c.read(most)
	if err != nil || len(b) < 4 || string(b[:4]) != "INFO" {
		return err
	}
	for b = b[4:]; len(b) >= 8; {
		id, n := string(b[:4]), int64(binary.LittleEndian.Uint32(b[4:]))
		b = b[8:]
		value := string(b[:min(n, int64(len(b)))])
		if t, ok := isoTime(value); ok && id == "ICRD" && h.stamp.IsZero() {
			h.stamp, h.stampFrom = t, FromTags
		}
		b = b[min(n+n&1, int64(len(b))):]
	}
	return nil
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
	case tag == tagALaw && bits == 8:
		e = ALaw
	case tag == tagMuLaw && bits == 8:
		e = MuLaw
	default:
		return mended{fmt.Errorf("has samples of %d bits in format 0x%04X", bits, tag),
			"convert it to WAV with integer samples of 8 to 32 bits, float, A-law or mu-law samples"}
	}
	if frame != width*h.channels {
		return mended{fmt.Errorf("contradicts itself: %d channels of %d bits in %d bytes", h.channels, bits, frame),
			"convert it to WAV again"}
	}
	h.format = encodings[e]
	return nil
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
