package draw

import (
	"encoding/binary"
	"errors"
	"fmt"
	"io"
)

// maxStoredVideo is the largest number of samples that ReadVideo takes: twice the longest chart.
const maxStoredVideo = 2 * LongestSeconds * int64(VideoRate)

// maxStoredScale bounds the scale of a block: far beyond full scale, and its powers are far from overflow.
const maxStoredScale = 1e6

// WriteTo writes the samples that are kept: their number in 8 bytes, then blocks of 256 of them, the last one
// shorter. A block is its scale, a 4-byte float, and for each sample I and Q as signed bytes to be multiplied
// by it. Numbers are little-endian. It implements io.WriterTo.
func (v *Video) WriteTo(w io.Writer) (int64, error) {
	buf := binary.LittleEndian.AppendUint64(nil, uint64(v.end-v.first))
	n, err := w.Write(buf)
	total := int64(n)
	for at := v.first; at < v.end && err == nil; at += videoBlock {
		i := int(at-v.first) / videoBlock
		var tail videoPart
		part, count := &tail, int(min(videoBlock, v.end-at))
		if count == videoBlock {
			part = &v.pages[i/pageBlocks][i%pageBlocks]
		} else {
			tail.pack(v.tail)
		}
		buf = part.append(buf[:0], count)
		n, err = w.Write(buf)
		total += int64(n)
	}
	return total, err
}

// ReadVideo reads what WriteTo wrote; the first sample gets index 0. It reads to the last sample and no
// further. Memory grows with what was read, not with what is claimed. Video that ends early is an error that
// wraps io.ErrUnexpectedEOF and comes with what there was.
func ReadVideo(r io.Reader) (*Video, error) {
	v := new(Video)
	var buf [4 + 2*videoBlock]byte
	if _, err := io.ReadFull(r, buf[:8]); err != nil {
		return v, early(err)
	}
	left := int64(binary.LittleEndian.Uint64(buf[:]))
	if left < 0 || left > maxStoredVideo {
		return v, fmt.Errorf("it claims %d samples of video, the limit is %d", uint64(left), maxStoredVideo)
	}
	for left > 0 {
		n := int(min(left, videoBlock))
		block := buf[:4+2*n]
		if _, err := io.ReadFull(r, block); err != nil {
			return v, early(err)
		}
		if err := v.read(block); err != nil {
			return v, err
		}
		left -= int64(n)
	}
	return v, nil
}

func early(err error) error {
	if errors.Is(err, io.EOF) {
		return io.ErrUnexpectedEOF
	}
	return err
}
