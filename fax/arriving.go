package fax

import (
	"encoding/binary"
	"fmt"
	"io"
	"math"
	"slices"
)

// Arriving is a chart that is being received, as far as it is known. With its video it is all that it takes to finish
// the chart without the decoder, as when that is no more.
type Arriving struct {
	Config Config  // of the decoder
	Base   int64   // sample index of video index 0
	From   int64   // video index where it begins
	IOC    int     // 576 or 288
	LPM    float64 // lines a minute
	Began  Began
}

// Arriving tells of the chart that is being received, once its line rate is known, and lends its video until the next
// call of the decoder; the video is nil if there is no chart.
func (d *Decoder) Arriving() (Arriving, *Video) {
	c := d.chart
	if c == nil || c.lpm == 0 {
		return Arriving{}, nil
	}
	return Arriving{Config: d.config, Base: d.base, From: c.from, IOC: c.ioc, LPM: c.lpm, Began: c.began}, d.video
}

// Finish draws the chart as far as its video goes, which the chart then owns. It returns nil if that is too little, or
// a decoder would not deliver it, and fails if a is nothing that a decoder has told.
func (a Arriving) Finish(v *Video, how Ended) (*Chart, error) {
	if err := a.Config.check(); err != nil {
		return nil, err
	}
	switch {
	case !slices.Contains(LineRates, a.LPM):
		return nil, fmt.Errorf("fax: %g lines a minute is none of %v", a.LPM, LineRates)
	case a.IOC != 576 && a.IOC != 288:
		return nil, fmt.Errorf("fax: IOC %d is neither 576 nor 288", a.IOC)
	case a.From < v.First() || a.Base < -maxIndex || a.Base > maxIndex:
		return nil, fmt.Errorf("fax: the chart lies outside its video")
	case a.From > v.End():
		return nil, nil
	}
	ch := finish(v, span{from: a.From, to: v.End(), ioc: a.IOC, lpm: a.LPM, began: a.Began, ended: how, sideband: usualSideband}, a.Config)
	if ch == nil || ch.doubtful() && !a.Config.Doubtful {
		return nil, nil
	}
	ch.Start += a.Base
	ch.End += a.Base
	return ch, nil
}

// maxIndex keeps sums of indices from overflow: years at any rate.
const maxIndex = 1 << 52

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
