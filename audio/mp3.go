package audio

import (
	"bufio"
	"bytes"
	"encoding/binary"
	"errors"
	"io"
	"math"

	"github.com/hajimehoshi/go-mp3"
)

// mp3Decoder is MPEG audio layer III (ISO/IEC 11172-3, 13818-3), decoded by hajimehoshi/go-mp3 v0.3.4. What that gives
// differs by less than -73 dB from what ffmpeg does, mono and stereo, at six rates, measured once with files of lame.
//
// The frames are found here and handed to the library one at a time, because it allocates what an ID3 tag claims (up to
// 256 MiB), ends at the first damaged frame, takes any two bytes of ones for a header, and decodes a frame whose
// beginning is missing as noise.
type mp3Decoder struct {
	frames  mp3Frames
	decoder *mp3.Decoder
	bytes   []byte // of the library, 16 bits, always two channels
	block   []float32
	head    mp3Header // of the stream
	skip    int       // samples yet to be left out: the delay of encoder and decoder
	left    int64     // samples to the end; -1: unknown
	whole   mp3Whole
	held    int  // bytes of main data that precede the next frame, as far as frames can refer to them
	silence bool // stands for the frame that is to be decoded next, which follows a gap
}

// mp3DecoderDelay is by how much the filter bank and the transform make what is decoded late: common practice for the
// 528 samples of the standard's synthesis and one more.
const mp3DecoderDelay = 529

func (s *Source) openMP3(br *bufio.Reader, in input, o Options) error {
	if err := skipID3(br); err != nil {
		return headerError(err, "MP3")
	}
	if magic, _ := br.Peek(4); string(magic) == "fLaC" { // some taggers put an ID3 tag before FLAC too
		return s.openFLAC(br, in, o)
	}
	d := &mp3Decoder{frames: mp3Frames{br: br}, left: -1}
	frame, _, err := d.frames.next()
	if err == io.EOF || errors.Is(err, io.ErrUnexpectedEOF) {
		return errNoSamples
	} else if err != nil {
		return err
	}
	d.head = d.frames.head
	s.channels = d.head.channels
	length := int64(-1)
	if in.size >= 0 { // at a constant bit rate; a variable one is told by the first frame
		length = in.size / int64(d.head.size) * int64(d.head.samples)
	}
	if info, ok := d.head.info(frame); ok { // it sounds of nothing
		d.frames.taken()
		if d.skip = info.delay + mp3DecoderDelay; info.frames > 0 {
			length = max(int64(info.frames)*int64(d.head.samples)-int64(info.delay+info.padding), 0)
			d.left = length
		}
	}
	s.held, s.length = length, length
	return s.openDecoder(d, float64(d.head.rate), o)
}

// looksMP3 tells whether a source begins with a frame.
func looksMP3(begin []byte) bool {
	if len(begin) < 4 {
		return false
	}
	h, ok := parseMP3Header(begin)
	return ok && h.layer > 0
}

// skipID3 passes over an ID3v2 tag, whose length is in four bytes of seven bits (id3.org, ID3v2.4.0 section 3.1).
func skipID3(br *bufio.Reader) error {
	for {
		if b, _ := br.Peek(3); string(b) != "ID3" {
			return nil
		}
		b, err := br.Peek(10)
		if err != nil {
			return err
		}
		n := int64(b[6]&127)<<21 | int64(b[7]&127)<<14 | int64(b[8]&127)<<7 | int64(b[9]&127)
		if b[5]&0x10 != 0 {
			n += 10 // a footer
		}
		if _, err := io.CopyN(io.Discard, br, n+10); err != nil {
			return err
		}
	}
}

func (d *mp3Decoder) next() (block []float32, silence int64, err error) {
	for len(block) == 0 {
		if d.left == 0 {
			return nil, 0, io.EOF
		}
		frame, passed, err := d.frames.next()
		if err != nil {
			return nil, 0, err
		}
		if passed > 0 && !d.silence {
			d.silence = true
			d.forget()
			size := d.frames.mean()
			if silence = d.cut(int64(math.Round(float64(passed)/size)) * int64(d.head.samples)); silence > 0 {
				return nil, silence, nil
			}
		}
		d.silence = false
		block = d.decode(frame)
		d.frames.taken()
		if len(block) == 0 {
			if silence = d.cut(int64(d.head.samples)); silence > 0 {
				return nil, silence, nil
			}
			continue
		}
		skip := min(d.skip, len(block)/d.head.channels)
		d.skip -= skip
		block = block[skip*d.head.channels:]
		block = block[:d.cut(int64(len(block)/d.head.channels))*int64(d.head.channels)]
	}
	return block, 0, nil
}

// cut counts samples off what is left, and gives so many of them as there are.
func (d *mp3Decoder) cut(n int64) int64 {
	if d.left >= 0 {
		n = min(n, d.left)
		d.left -= n
	}
	return n
}

// decode decodes a frame; nothing if it cannot be.
func (d *mp3Decoder) decode(frame []byte) []float32 {
	begin, main := d.frames.head.mainData(frame)
	missing := begin > d.held
	d.held = min(d.held+main, mp3Reservoir)
	if d.head.needsWhole() {
		if frame = d.whole.make(d.frames.head, frame); len(frame) == 0 {
			return nil
		}
	}
	n, err := d.decodeFrame(frame)
	if err != nil || n != 4*d.head.samples || missing {
		return nil
	}
	block := d.block[:0]
	for i := 0; i < n; i += 4 {
		for c := range d.head.channels {
			block = append(block, float32(int16(binary.LittleEndian.Uint16(d.bytes[i+2*c:])))*(1.0/(1<<15)))
		}
	}
	d.block = block
	return block
}

// forget tells that what precedes the next frame is missing.
func (d *mp3Decoder) forget() { d.held, d.whole.kept = 0, d.whole.kept[:0] }

// decodeFrame has the library decode a frame into d.bytes. After a panic of it over hostile bytes a new one takes its place.
func (d *mp3Decoder) decodeFrame(frame []byte) (n int, err error) {
	defer func() {
		if err != nil {
			d.decoder = nil
			d.forget()
		}
	}()
	defer recoverAny(&err)
	if d.bytes == nil {
		d.bytes = make([]byte, 4*d.head.samples)
	}
	d.frames.give(frame)
	if d.decoder == nil {
		if d.decoder, err = mp3.NewDecoder(&d.frames.given); err != nil {
			return 0, err
		}
	}
	return io.ReadFull(d.decoder, d.bytes)
}

// mp3Frames finds frames: what begins like one, and where one ends another begins, or the file ends.
type mp3Frames struct {
	br    *bufio.Reader
	head  mp3Header // of the present frame
	begun bool
	given bytes.Buffer
	count int64 // of frames that were taken
	bytes int64 // of them
}

// next peeks at the next frame, and tells how many bytes it passed over before it.
func (f *mp3Frames) next() (frame []byte, passed int64, err error) {
	for {
		b, err := f.br.Peek(4)
		if err != nil {
			return nil, passed, io.EOF // what follows the last frame, such as a tag
		}
		if h, ok := parseMP3Header(b); ok && (!f.begun || h.sameStream(f.head)) {
			if err := h.check(); err != nil && passed == 0 {
				return nil, 0, err
			}
			if b, err = f.br.Peek(h.size + 4); err == nil {
				if h2, ok := parseMP3Header(b[h.size:]); ok && h2.sameStream(h) {
					f.head, f.begun = h, true
					return b[:h.size], passed, nil
				}
			}
			if f.begun && len(b) >= h.size && (err == io.EOF || isTag(b[h.size:])) {
				f.head = h
				return b[:h.size], passed, nil
			}
		}
		if !f.begun && passed > 1<<16 {
			return nil, passed, mended{errors.New("begins like MP3 but is none"), "convert it to WAV or FLAC"}
		}
		f.br.Discard(1)
		passed++
	}
}

// isTag tells whether what follows a frame is a tag at the end of a file (ID3v1, or APE).
func isTag(b []byte) bool {
	return bytes.HasPrefix(b, []byte("TAG")) || bytes.HasPrefix(b, []byte("APET"))
}

// taken goes on to what follows the present frame.
func (f *mp3Frames) taken() {
	f.br.Discard(f.head.size)
	f.count++
	f.bytes += int64(f.head.size)
}

// mean is the mean size of frames in bytes, which is what tells how many were lost.
func (f *mp3Frames) mean() float64 {
	return float64(f.bytes+int64(f.head.size)) / float64(f.count+1)
}

// give has the library read a frame.
func (f *mp3Frames) give(frame []byte) {
	f.given.Reset()
	f.given.Write(frame)
}

// mp3Header is what the four bytes before a frame say (ISO/IEC 11172-3 section 2.4.2.3):
//
//	sync11 version2 layer2 unprotected1 bitrate4 rate2 padding1 private1 mode2 extension2 copyright1 original1 emphasis2
type mp3Header struct {
	version  int // 1, 2, or 25 for what is called 2.5
	layer    int
	rate     int // Hz
	channels int
	samples  int // a channel
	size     int // bytes, header and all
	checked  bool
	raw      uint32
}

// mp3Rates are the bit rates of layer III in kbit/s, of version 1 and of the others.
var mp3Rates = [2][15]int{
	{0, 32, 40, 48, 56, 64, 80, 96, 112, 128, 160, 192, 224, 256, 320},
	{0, 8, 16, 24, 32, 40, 48, 56, 64, 80, 96, 112, 128, 144, 160},
}

// parseMP3Header tells whether b begins with a header; one of another layer is taken for a frame of layer III, which
// check refuses.
func parseMP3Header(b []byte) (h mp3Header, ok bool) {
	if b[0] != 0xFF || b[1]&0xE0 != 0xE0 {
		return h, false
	}
	bitrate, rate := int(b[2]>>4), int(b[2]>>2&3)
	if b[1]>>3&3 == 1 || b[1]>>1&3 == 0 || bitrate == 0 || bitrate == 15 || rate == 3 || b[3]&3 == 2 {
		return h, false
	}
	h = mp3Header{version: [...]int{25, 0, 2, 1}[b[1]>>3&3], layer: 4 - int(b[1]>>1&3), channels: 2, samples: 1152, checked: b[1]&1 == 0, raw: binary.BigEndian.Uint32(b)}
	if b[3]>>6 == 3 {
		h.channels = 1
	}
	h.rate = [...]int{44100, 48000, 32000}[rate]
	old := 0
	switch h.version {
	case 2:
		h.rate, h.samples, old = h.rate/2, 576, 1
	case 25:
		h.rate, h.samples, old = h.rate/4, 576, 1
	}
	h.size = h.samples/8*1000*mp3Rates[old][bitrate]/h.rate + int(b[2]>>1&1)
	return h, h.size > 4+2+h.sideSize()
}

func (h mp3Header) sameStream(o mp3Header) bool {
	return h.version == o.version && h.layer == o.layer && h.rate == o.rate && h.channels == o.channels
}

// check refuses what the library cannot decode.
func (h mp3Header) check() error {
	switch {
	case h.layer != 3:
		return unread("MPEG audio layer " + [...]string{1: "I", 2: "II"}[h.layer])
	case h.rate == 8000: // whose bands no other rate has
		return mended{errors.New("is MP3 at 8000 Hz, which is not read"), "convert it to WAV or FLAC, or record at 11025 Hz or more"}
	}
	return nil
}

// sideSize is the size of the side information that follows the header, in bytes.
func (h mp3Header) sideSize() int {
	switch {
	case h.version == 1 && h.channels == 2:
		return 32
	case h.version == 1 || h.channels == 2:
		return 17
	}
	return 9
}

// side is where the side information of a frame begins.
func (h mp3Header) side() int {
	if h.checked {
		return 6
	}
	return 4
}

// mainData tells how many bytes before the frame its main data begin, and how many are in it.
func (h mp3Header) mainData(frame []byte) (begin, n int) {
	b := frame[h.side():]
	begin = int(b[0])
	if h.version == 1 {
		begin = begin<<1 | int(b[1]>>7)
	}
	return begin, len(frame) - h.side() - h.sideSize()
}

// mp3Info is what encoders tell in a first frame without sound: how many frames follow and, in units of samples, what
// precedes and follows the recording (G. Bouvigne, "MP3 Info Tag", revision 1, from memory; files of lame and ffmpeg
// in testdata confirm it).
type mp3Info struct {
	frames         uint32
	delay, padding int
}

func (h mp3Header) info(frame []byte) (i mp3Info, ok bool) {
	b := frame[h.side()+h.sideSize():]
	if h.checked { // it is placed as if there were no checksum
		b = frame[4+h.sideSize():]
	}
	if len(b) < 8 || string(b[:4]) != "Xing" && string(b[:4]) != "Info" {
		return i, false
	}
	flags := b[7]
	b = b[8:]
	if flags&1 != 0 && len(b) >= 4 {
		i.frames = binary.BigEndian.Uint32(b)
	}
	at := 0
	for bit, n := range [...]int{4, 4, 100, 4} { // frames, bytes, table, quality
		if flags>>bit&1 != 0 {
			at += n
		}
	}
	if at += 21; len(b) >= at+3 {
		i.delay, i.padding = int(b[at])<<4|int(b[at+1]>>4), int(b[at+1]&15)<<8|int(b[at+2])
	}
	return i, true
}
