package audio

import (
	"bufio"
	"encoding/binary"
	"fmt"
	"io"
	"math"
)

// Layout (Apple, Audio Interchange File Format 1.3, 1989, and AIFF-C draft, 1991, from memory; the files in testdata,
// made by two other tools, confirm it); numbers have the highest byte first:
//
//	"FORM" size32 "AIFF" or "AIFC"  { id[4] size32 content }...
//	"COMM"  channels16 frames32 bits16 rate80 [ compression[4] name ]
//	"SSND"  offset32 block32 [ offset bytes ] frames
//
// go-audio/aiff v1.1.0 is not used: it needs an io.ReadSeeker, so it cannot read a pipe; it allocates what COMM and
// the offset of SSND claim, up to 4 GiB; and it knows neither float nor A-law and mu-law samples.
func (s *Source) openAIFF(br *bufio.Reader, in input, o Options) error {
	h, err := readAIFFHeader(br)
	if err != nil {
		return headerError(err, "AIFF")
	}
	return s.openWave(br, h, in, o)
}

func readAIFFHeader(r *bufio.Reader) (h wavHeader, err error) {
	var b [12]byte
	if _, err := io.ReadFull(r, b[:]); err != nil {
		return h, err
	}
	kind := string(b[8:])
	if kind != "AIFF" && kind != "AIFC" {
		return h, mended{fmt.Errorf("is IFF of the kind %q, not AIFF", kind), "convert it to WAV"}
	}
	c := chunks{r: r, offset: 12, layout: iffChunks}
	err = c.walk(func(id string, size uint64) error {
		switch id {
		case "COMM":
			return h.readCommon(&c)
		case "SSND":
			return h.readSound(&c, size)
		}
		return nil
	})
	return h, err
}

// readCommon reads the chunk "COMM".
func (h *wavHeader) readCommon(c *chunks) error {
	b, err := c.read(22)
	if err != nil {
		return err
	}
	if len(b) < 18 {
		return mended{fmt.Errorf("has a format chunk of %d bytes", len(b)), "convert it to WAV"}
	}
	bits := int(binary.BigEndian.Uint16(b[6:]))
	h.channels, h.rate = int(binary.BigEndian.Uint16(b)), extended(b[8:18])
	compression := "NONE"
	if len(b) == 22 {
		compression = string(b[18:])
	}
	width := (bits + 7) / 8 // fewer bits lie at the top of their bytes
	var e Encoding
	switch {
	case (compression == "NONE" || compression == "twos") && width >= 1 && width <= 4:
		e = [...]Encoding{S8, S16BE, S24BE, S32BE}[width-1]
	case compression == "in24":
		e = S24BE
	case compression == "in32":
		e = S32BE
	case compression == "sowt" && width >= 1 && width <= 4:
		e = [...]Encoding{S8, S16, S24, S32}[width-1]
	case compression == "raw ":
		e = U8
	case compression == "fl32" || compression == "FL32":
		e = F32BE
	case compression == "fl64" || compression == "FL64":
		e = F64BE
	case compression == "alaw" || compression == "ALAW":
		e = ALaw
	case compression == "ulaw" || compression == "ULAW":
		e = MuLaw
	default:
		return mended{fmt.Errorf("has samples of %d bits in AIFF-C format %q", bits, compression),
			"convert it to WAV or FLAC"}
	}
	h.format = encodings[e]
	return nil
}

// readSound reads what precedes the samples in the chunk "SSND" of a size.
func (h *wavHeader) readSound(c *chunks, size uint64) error {
	var b [8]byte // even of a chunk whose size was left open, as 0
	if _, err := io.ReadFull(c.r, b[:]); err != nil {
		return err
	}
	before := uint64(binary.BigEndian.Uint32(b[:]))
	n, err := io.CopyN(io.Discard, c.r, int64(before))
	c.offset += int64(len(b)) + n
	if err != nil {
		return err
	}
	if !leftOpen(size) {
		if before+8 > size {
			return errNoSamples
		}
		size -= before + 8
	}
	return h.samples(c, size)
}

// extended reads an 80-bit number of IEEE 754: a sign, 15 bits of exponent, and 64 of mantissa with its leading 1.
func extended(b []byte) float64 {
	exponent, mantissa := int(binary.BigEndian.Uint16(b)&0x7FFF), binary.BigEndian.Uint64(b[2:])
	v := math.Ldexp(float64(mantissa), exponent-16383-63)
	if b[0]&0x80 != 0 {
		v = -v
	}
	return v
}
