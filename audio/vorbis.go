package audio

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"math/bits"

	"github.com/jfreymuth/vorbis"
)

// vorbisCodec is Vorbis in Ogg (Vorbis I specification, xiph.org), decoded by jfreymuth/vorbis v1.0.2. The headers are
// checked first: the library allocates what they claim, up to 64 GiB of comments and 16 GiB of a codebook, and a
// codebook without entries or dimensions makes it loop for ever. A panic becomes an error.
type vorbisCodec struct {
	decoder *vorbis.Decoder
	out     []float32
}

func (c *vorbisCodec) headers() int { return 3 }

func (c *vorbisCodec) open(headers [][]byte) (f oggFormat, err error) {
	defer recoverAny(&err)
	ident, setup := headers[0], headers[2]
	bad := mended{errors.New("damaged Vorbis header"), "record it again"}
	if len(ident) < 30 || !bytes.HasPrefix(ident, []byte("\x01vorbis")) || !bytes.HasPrefix(setup, []byte("\x05vorbis")) {
		return f, bad
	}
	short, long := ident[28]&15, ident[28]>>4
	if short < 6 || long < short || long > 13 { // section 4.2.2
		return f, bad
	}
	c.decoder = &vorbis.Decoder{}
	f.channels = int(ident[11])
	if f.channels < 1 || f.channels > MaxChannels {
		return f, mended{fmt.Errorf("has %d channels", f.channels), fmt.Sprintf("extract one of them: at most %d can be read", MaxChannels)}
	}
	if err := checkCodebooks(setup[7:]); err != nil {
		return f, mended{err, "convert it to WAV"}
	}
	for _, h := range [][]byte{ident, setup} {
		if err := c.decoder.ReadHeader(h); err != nil {
			return f, bad
		}
	}
	f.rate = float64(c.decoder.SampleRate())
	c.out = make([]float32, c.decoder.BufferSize())
	if rest, ok := bytes.CutPrefix(headers[1], []byte("\x03vorbis")); ok {
		f.tags = vorbisComments(rest)
	}
	return f, nil
}

func (c *vorbisCodec) decode(block []float32, packet []byte) []float32 {
	x, err := c.packet(packet)
	if err != nil {
		c.clear() // where the next page is tells what is missing
		return block
	}
	for _, v := range x {
		block = append(block, sane(v))
	}
	return block
}

func (c *vorbisCodec) packet(packet []byte) (x []float32, err error) {
	defer recoverAny(&err)
	if len(packet) == 0 {
		return nil, nil
	}
	return c.decoder.DecodeInto(packet, c.out)
}

func (c *vorbisCodec) clear() { c.decoder.Clear() }

// vorbisMost is how many values all codebooks of a stream may hold. Those of the reference encoder hold some 100 000.
const vorbisMost = 1 << 22

// checkCodebooks walks the codebooks of a setup header (section 3.2.1) and refuses what the decoder must not see.
func checkCodebooks(setup []byte) error {
	b := &lowBits{data: setup}
	total := uint64(0)
	for range b.read(8) + 1 {
		if b.read(24) != 0x564342 {
			return errors.New("damaged Vorbis codebook")
		}
		dimensions, entries := b.read(16), b.read(24)
		total += uint64(entries) * uint64(dimensions)
		if dimensions == 0 || entries == 0 || total > vorbisMost {
			return fmt.Errorf("has a Vorbis codebook of %d entries of %d values", entries, dimensions)
		}
		used := uint32(0)
		if ordered := b.read(1); ordered == 1 {
			b.read(5)
			for used < entries && !b.over {
				used += b.read(uint(bits.Len32(entries - used)))
			}
			if used != entries {
				return errors.New("damaged Vorbis codebook")
			}
		} else {
			sparse := b.read(1)
			for range entries {
				if sparse == 0 || b.read(1) == 1 {
					b.read(5)
					used++
				}
			}
		}
		lookup := b.read(4)
		if lookup > 0 {
			b.read(32)
			b.read(32)
			width := uint(b.read(4)) + 1
			b.read(1)
			values := uint64(entries) * uint64(dimensions)
			if lookup == 1 { // as the decoder has it, so that both read on at the same place
				values = uint64(math.Floor(math.Pow(float64(entries), 1/float64(dimensions))))
			}
			b.skip(values * uint64(width))
		}
		if b.over || used == 0 || lookup > 2 {
			return errors.New("damaged Vorbis codebook")
		}
	}
	return nil
}

// lowBits reads bits, lowest first.
type lowBits struct {
	data []byte
	at   uint64 // bit
	over bool   // beyond the end
}

func (b *lowBits) read(n uint) (v uint32) {
	for i := range n {
		if b.at/8 >= uint64(len(b.data)) {
			b.over = true
			return 0
		}
		v |= uint32(b.data[b.at/8]>>(b.at%8)&1) << i
		b.at++
	}
	return v
}

func (b *lowBits) skip(n uint64) {
	b.at += n
	b.over = b.over || b.at > uint64(len(b.data))*8
}
