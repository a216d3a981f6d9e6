package audio

import (
	"bufio"
	"encoding/binary"
	"fmt"
	"io"
	"math"
)

// Encoding names how one sample is stored: s, u or f for signed, unsigned or float, the bits, le for lowest
// byte first and be for highest; or by a law of ITU-T G.711.
type Encoding string

// The encodings that are read, raw or in WAV.
const (
	U8  Encoding = "u8"
	S16 Encoding = "s16le"
	S24 Encoding = "s24le"
	S32 Encoding = "s32le"
	F32 Encoding = "f32le"
	F64 Encoding = "f64le"

	S8    Encoding = "s8"
	S16BE Encoding = "s16be"
	S24BE Encoding = "s24be"
	S32BE Encoding = "s32be"
	F32BE Encoding = "f32be"
	F64BE Encoding = "f64be"

	ALaw  Encoding = "alaw"
	MuLaw Encoding = "mulaw"
)

func encodingNames() string {
	return "u8, s16le, s24le, s32le, f32le, f64le, s8, s16be, s24be, s32be, f32be, f64be, alaw, mulaw"
}

// pcmFormat is the size of a sample in bytes, and how samples that lie stride bytes apart are decoded.
type pcmFormat struct {
	width  int
	decode func(dst []float32, src []byte, stride int)
}

var encodings = map[Encoding]pcmFormat{
	U8: {1, decodeU8}, S16: {2, decodeS16}, S24: {3, decodeS24}, S32: {4, decodeS32}, F32: {4, decodeF32}, F64: {8, decodeF64},
	S8: {1, decodeS8}, S16BE: {2, decodeS16BE}, S24BE: {3, decodeS24BE}, S32BE: {4, decodeS32BE}, F32BE: {4, decodeF32BE}, F64BE: {8, decodeF64BE},
	ALaw: {1, decodeALaw}, MuLaw: {1, decodeMuLaw},
}

// Full scale of an n-bit integer is 2^(n-1), so that -1 is exact; u8 has its zero at 128.

func decodeU8(dst []float32, src []byte, stride int) {
	for i := range dst {
		dst[i] = float32(int(src[i*stride])-128) * (1.0 / 128)
	}
}

func decodeS16(dst []float32, src []byte, stride int) {
	for i := range dst {
		dst[i] = float32(int16(binary.LittleEndian.Uint16(src[i*stride:]))) * (1.0 / (1 << 15))
	}
}

func decodeS24(dst []float32, src []byte, stride int) {
	for i := range dst {
		b := src[i*stride:][:3]
		v := int32(uint32(b[0])<<8 | uint32(b[1])<<16 | uint32(b[2])<<24) // sign at the top
		dst[i] = float32(v) * (1.0 / (1 << 31))
	}
}

func decodeS32(dst []float32, src []byte, stride int) {
	for i := range dst {
		dst[i] = float32(int32(binary.LittleEndian.Uint32(src[i*stride:]))) * (1.0 / (1 << 31))
	}
}

func decodeF32(dst []float32, src []byte, stride int) {
	for i := range dst {
		dst[i] = sane(math.Float32frombits(binary.LittleEndian.Uint32(src[i*stride:])))
	}
}

func decodeF64(dst []float32, src []byte, stride int) {
	for i := range dst {
		dst[i] = sane(float32(math.Float64frombits(binary.LittleEndian.Uint64(src[i*stride:]))))
	}
}

// sane makes silence of NaN, of infinities and of what no receiver writes: float files may exceed full scale
// a little, or be scaled like 16-bit integers (2^15), but 1e30 would overflow when it is squared.
func sane(v float32) float32 {
	if v >= -1<<16 && v <= 1<<16 {
		return v
	}
	return 0
}

// l16 is how samples lie in RTP packets: highest byte first (RFC 3551 section 4.5.11).
var l16 = encodings[S16BE]

// frameDecoder decodes what is picked of frames, the interleaved samples of all channels.
type frameDecoder struct {
	format   pcmFormat
	channels int
	pick     int       // index of the channel, mixAll or iqPair
	values   int       // that are read of a frame
	mix      []float32 // one channel, while they are added up
}

func newFrameDecoder(format pcmFormat, channels, pick int) frameDecoder {
	d := frameDecoder{format: format, channels: channels, pick: pick, values: 1}
	if pick == mixAll {
		d.mix = make([]float32, ioBlock/d.size())
	}
	if pick == iqPair {
		d.values = channels
	}
	return d
}

// size is that of a frame in bytes.
func (d *frameDecoder) size() int { return d.format.width * d.channels }

// decode sets dst, the values of some frames, to the picked channel of src, that many frames of at most ioBlock bytes.
func (d *frameDecoder) decode(dst []float32, src []byte) {
	switch d.pick {
	case iqPair: // all, as they lie
		d.format.decode(dst, src, d.format.width)
		return
	case mixAll:
	default:
		d.format.decode(dst, src[d.pick*d.format.width:], d.size())
		return
	}
	clear(dst)
	scale := 1 / float32(d.channels)
	for c := range d.channels {
		x := d.mix[:len(dst)]
		d.format.decode(x, src[c*d.format.width:], d.size())
		for i, v := range x {
			dst[i] += v * scale
		}
	}
}

// pcmReader decodes one channel of interleaved samples.
type pcmReader struct {
	br     *bufio.Reader
	frames frameDecoder
	length int64  // samples a channel; -1: to the end of the source
	done   int64  // samples a channel, delivered
	buf    []byte // have bytes of it are read but not yet decoded: less than one frame between calls
	have   int
	err    error // of a read that also gave bytes
}

func newPCMReader(br *bufio.Reader, format pcmFormat, channels, pick int, length int64) *pcmReader {
	return &pcmReader{br: br, frames: newFrameDecoder(format, channels, pick), length: length, buf: make([]byte, ioBlock)}
}

func (p *pcmReader) read(dst []float32) (int, error) {
	frame := p.frames.size()
	want := min(len(dst)/p.frames.values, len(p.buf)/frame)
	if p.length >= 0 {
		want = int(min(int64(want), p.length-p.done))
	}
	if want == 0 {
		return 0, io.EOF
	}
	for tries := 0; p.have < frame; tries++ {
		if p.err == nil && tries > 100 {
			p.err = io.ErrNoProgress
		}
		if p.err == io.EOF && p.done < p.length {
			p.err = cutShort(p.done, p.length)
		}
		if p.err != nil {
			return 0, p.err
		}
		// One read only: a live pipe must not be held up until a block is full.
		var n int
		n, p.err = p.br.Read(p.buf[p.have : want*frame])
		p.have += n
	}
	n := p.have / frame
	p.frames.decode(dst[:n*p.frames.values], p.buf[:n*frame])
	p.have = copy(p.buf, p.buf[n*frame:p.have])
	p.done += int64(n)
	return n * p.frames.values, nil
}

// cutShort is the error of a source whose end is missing.
func cutShort(done, length int64) error {
	return mended{fmt.Errorf("ends after %d of the %d samples that it states: %w", done, length, io.ErrUnexpectedEOF),
		"what is there has been read"}
}
