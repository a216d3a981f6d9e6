package draw

import (
	"encoding/binary"
	"fmt"
	"io"
	"math"
)

// WriteBlocks writes the whole blocks of samples from index from on, as WriteTo does but for their number, so that the
// video of a chart that is coming in can be written piece by piece; from is First or what the last call returned, the
// index where the next one goes on. After an error nothing is to be taken for written.
func (v *Video) WriteBlocks(w io.Writer, from int64) (next int64, err error) {
	var buf []byte
	next = from
	for next+videoBlock <= v.end-int64(len(v.tail)) {
		i := int(next-v.first) / videoBlock
		buf = v.pages[i/pageBlocks][i%pageBlocks].append(buf, videoBlock)
		next += videoBlock
	}
	if len(buf) == 0 {
		return next, nil
	}
	if _, err := w.Write(buf); err != nil {
		return from, err
	}
	return next, nil
}

// ReadBlocks reads what WriteBlocks wrote, to the end of r; the first sample gets index 0. A last block that is not
// complete is left out, and what comes behind a damaged one too.
func ReadBlocks(r io.Reader) (*Video, error) {
	v := new(Video)
	var block [4 + 2*videoBlock]byte
	for v.end < maxStoredVideo {
		if _, err := io.ReadFull(r, block[:]); err == io.EOF || err == io.ErrUnexpectedEOF {
			break
		} else if err != nil {
			return v, err
		}
		if v.read(block[:]) != nil {
			break
		}
	}
	return v, nil
}

// append writes a block of some samples.
func (p *videoPart) append(buf []byte, samples int) []byte {
	buf = binary.LittleEndian.AppendUint32(buf, math.Float32bits(p.scale))
	for _, b := range p.iq[:2*samples] {
		buf = append(buf, byte(b))
	}
	return buf
}

// read appends the samples of a block.
func (v *Video) read(block []byte) error {
	scale := math.Float32frombits(binary.LittleEndian.Uint32(block))
	if !(scale >= 0 && scale <= maxStoredScale) {
		return fmt.Errorf("damaged video: block with a scale of %g", scale)
	}
	iq := block[4:]
	var z [videoBlock]complex64
	for i := range len(iq) / 2 {
		z[i] = complex(float32(int8(iq[2*i]))*scale, float32(int8(iq[2*i+1]))*scale)
	}
	v.Append(z[:len(iq)/2])
	return nil
}
