package draw

import (
	"math"
	"slices"

	"ionoscribe/demod"
)

// videoBlock is the number of samples that share a scale: 71 ms, shorter than fades, long enough to cost
// little. A page holds 128 of them, 9 s.
const (
	videoBlock = 256
	pageBlocks = 128
	pageLength = videoBlock * pageBlocks
)

// Video is complex baseband at VideoRate around CentreHz, kept with one byte a component and one scale a
// block: 26 MB an hour, with rounding noise 40 dB below the signal. The zero Video is empty and ready.
type Video struct {
	pages []*videoPage
	first int64        // index of the first page's first sample; whole pages are dropped from the front
	end   int64        // index after the last sample
	tail  []complex64  // samples of the unfinished block
	spare []*videoPage // dropped pages, to be used again
}

type videoPage [pageBlocks]videoPart

type videoPart struct {
	scale float32
	iq    [2 * videoBlock]int8
}

// First is the index of the first sample kept.
func (v *Video) First() int64 { return v.first }

// End is the index after the last sample.
func (v *Video) End() int64 { return v.end }

// Append adds samples at the end.
func (v *Video) Append(z []complex64) {
	v.end += int64(len(z))
	for len(z) > 0 {
		n := min(videoBlock-len(v.tail), len(z))
		v.tail = append(v.tail, z[:n]...)
		z = z[n:]
		if len(v.tail) == videoBlock {
			v.nextPart(v.end - int64(len(z)) - videoBlock).pack(v.tail)
			v.tail = v.tail[:0]
		}
	}
}

// nextPart is the place of the block that begins at index at.
func (v *Video) nextPart(at int64) *videoPart {
	i := int(at-v.first) / videoBlock
	if i/pageBlocks == len(v.pages) {
		if n := len(v.spare); n > 0 {
			v.pages, v.spare = append(v.pages, v.spare[n-1]), v.spare[:n-1]
		} else {
			v.pages = append(v.pages, new(videoPage))
		}
	}
	return &v.pages[i/pageBlocks][i%pageBlocks]
}

func (p *videoPart) pack(z []complex64) {
	var peak float32
	for _, c := range z {
		peak = max(peak, abs32(real(c)), abs32(imag(c)))
	}
	p.scale = peak / 127
	inverse := float32(0)
	if peak > 0 {
		inverse = 127 / peak
	}
	iq := p.iq[:2*len(z)]
	for i, c := range z {
		iq[2*i] = round8(real(c) * inverse)
		iq[2*i+1] = round8(imag(c) * inverse)
	}
}

func abs32(x float32) float32 { return math.Float32frombits(math.Float32bits(x) &^ (1 << 31)) }

func round8(x float32) int8 { return int8(int32(x+128.5) - 128) }

// Read fills dst with the samples from index at on; what is not kept reads as zero.
func (v *Video) Read(dst []complex64, at int64) {
	packed := v.end - int64(len(v.tail))
	for len(dst) > 0 {
		n := int64(len(dst))
		switch i := at - v.first; {
		case i < 0:
			n = min(n, -i)
			clear(dst[:n])
		case at < packed:
			p := &v.pages[i/pageLength][i%pageLength/videoBlock]
			o := i % videoBlock
			n = min(n, videoBlock-o)
			iq := p.iq[2*o : 2*(o+n)]
			for k := range dst[:n] {
				dst[k] = complex(float32(iq[2*k])*p.scale, float32(iq[2*k+1])*p.scale)
			}
		case at < v.end:
			n = int64(copy(dst, v.tail[at-packed:]))
		default:
			clear(dst)
		}
		dst, at = dst[n:], at+n
	}
}

// power is the mean power from index from up to index to.
func (v *Video) power(from, to int64) float64 {
	var block [videoBlock]complex64
	sum := 0.0
	for at := from; at < to; at += videoBlock {
		z := block[:min(videoBlock, to-at)]
		v.Read(z, at)
		for _, c := range z {
			sum += float64(demod.Power(c))
		}
	}
	return sum / float64(max(to-from, 1))
}

// DropBefore forgets whole pages before index at.
func (v *Video) DropBefore(at int64) {
	n := int(min((at-v.first)/pageLength, int64(len(v.pages))))
	if n <= 0 || at > v.end {
		return
	}
	v.spare = append(v.spare, v.pages[:n]...)
	v.pages = v.pages[:copy(v.pages, v.pages[n:])]
	v.first += int64(n) * pageLength
}

// SoFar is the video as it is now; v may grow meanwhile, but nothing of it may be dropped.
func (v *Video) SoFar() *Video {
	return &Video{pages: slices.Clone(v.pages), first: v.first, end: v.end, tail: slices.Clone(v.tail)}
}

// After is a new Video of the samples from index at on, with the same indices.
func (v *Video) After(at int64) *Video {
	at -= (at - v.first) % videoBlock
	w := &Video{first: at, end: at}
	buf := make([]complex64, videoBlock)
	for ; at < v.end; at += videoBlock {
		n := min(videoBlock, v.end-at)
		v.Read(buf[:n], at)
		w.Append(buf[:n])
	}
	return w
}
