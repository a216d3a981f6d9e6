package audio

import (
	"bufio"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math"
)

// chunkLayout is how the chunks of a kind of file lie behind each other: an id, a size, and the content.
type chunkLayout struct {
	idBytes, sizeBytes int
	order              binary.ByteOrder
	padding            uint64 // content is filled up to a multiple of it
	inclusive          bool   // the size counts id and size too
}

var (
	riffChunks = chunkLayout{4, 4, binary.LittleEndian, 2, false}
	iffChunks  = chunkLayout{4, 4, binary.BigEndian, 2, false}
	w64Chunks  = chunkLayout{16, 8, binary.LittleEndian, 8, true}
)

// chunks walks the chunks of a file, forwards only.
type chunks struct {
	layout chunkLayout
	r      *bufio.Reader
	offset int64             // bytes from the beginning of the source
	left   uint64            // bytes of the present chunk that are not yet read, with its padding
	size   uint64            // of the content of the present chunk
	large  map[string]uint64 // sizes from ds64
}

func (c *chunks) next() (id string, size uint64, err error) {
	var b [24]byte
	l := c.layout
	head := b[:l.idBytes+l.sizeBytes]
	if _, err := io.ReadFull(c.r, head); err != nil {
		return "", 0, err
	}
	id = string(head[:l.idBytes])
	if l.sizeBytes == 4 {
		c.size = uint64(l.order.Uint32(head[l.idBytes:]))
	} else {
		c.size = l.order.Uint64(head[l.idBytes:])
	}
	if n, ok := c.large[id]; ok && c.size == openSize {
		c.size = n
	}
	if l.inclusive { // a size that is too small was left open
		c.size -= min(c.size, uint64(len(head)))
	}
	c.offset += int64(len(head))
	c.left = c.size + -c.size%l.padding
	return id, c.size, nil
}

// walk visits the chunks up to the one that holds the samples, for which visit returns errSamples.
func (c *chunks) walk(visit func(id string, size uint64) error) error {
	for range maxChunks {
		id, size, err := c.next()
		if err == nil {
			err = visit(id, size)
		}
		if err == errSamples {
			return nil
		}
		if err == nil {
			err = c.skip()
		}
		if err != nil {
			return err
		}
	}
	return mended{fmt.Errorf("has no samples within its first %d chunks", maxChunks), "convert it to WAV again"}
}

// maxChunks may precede the samples; an endless stream of empty chunks must end.
const maxChunks = 1000

// errSamples ends a walk.
var errSamples = errors.New("the samples")

// samples is that the samples of a size begin here. Their format must be known by now.
func (h *wavHeader) samples(c *chunks, size uint64) error {
	if h.format.decode == nil {
		return mended{errors.New("has its samples before their format"), "convert it to WAV again"}
	}
	h.offset, h.size = c.offset, size
	return errSamples
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
