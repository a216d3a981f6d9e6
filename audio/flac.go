package audio

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"
	"log"
	"sync"

	"github.com/mewkiz/flac/frame"
	"github.com/mewkiz/flac/meta"
)

// flacDecoder decodes FLAC (RFC 9639) frame by frame. The library checks each frame's checksums, 24 bits together;
// what fails them is passed over up to the next frame that stands the check.
type flacDecoder struct {
	bytes  rewinder
	info   *meta.StreamInfo
	block  []float32
	done   int64 // samples a channel, decoded or lost
	origin int64 // number that the first sample has: not 0 in a part of a stream
	begun  bool
	fixed  int64 // samples of a frame, where frames are counted and not samples
	scale  float32
	after  *frame.Frame // what follows the silence that was given last
}

func (s *Source) openFLAC(br *bufio.Reader, in input, o Options) error {
	quietFLAC()
	f := &flacDecoder{}
	if err := f.open(br, s); err != nil {
		return err
	}
	s.channels = int(f.info.NChannels)
	if n := f.info.NSamples; n > 0 { // 36 bits; 0 is unknown (RFC 9639 section 8.2)
		s.length, s.held = int64(n), int64(n)
	} else if in.at != nil {
		s.held = f.end(in.at, in.size)
	}
	err := s.openDecoder(f, float64(f.info.SampleRate), o)
	if err != nil && errors.Is(err, io.ErrUnexpectedEOF) && f.done == 0 {
		return errNoSamples
	}
	return err
}

// open reads what precedes the frames. A time in the tags goes to s.
func (f *flacDecoder) open(br *bufio.Reader, s *Source) (err error) {
	defer recoverAny(&err)
	info, tags, err := readFLACHeader(br)
	if err == io.EOF || err == io.ErrUnexpectedEOF {
		return mended{fmt.Errorf("ends inside the FLAC header: %w", io.ErrUnexpectedEOF), "record it again"}
	}
	if err != nil {
		return mended{fmt.Errorf("damaged FLAC header (%w)", err), "record it again"}
	}
	f.info = info
	s.stampTags(tags)
	// An encoder stores what does not shrink as it is, so that a frame is hardly longer than its samples; the double
	// and some bytes are beyond any.
	i := f.info
	f.scale = 1 / float32(uint64(1)<<(i.BitsPerSample-1))
	f.fixed = int64(i.BlockSizeMax)
	f.bytes = rewinder{r: br, limit: 2*int(i.BlockSizeMax)*int(i.NChannels)*int(i.BitsPerSample+8)/8 + 1<<16}
	return nil
}

// readFLACHeader reads the metadata that precede the frames.
func readFLACHeader(br *bufio.Reader) (info *meta.StreamInfo, tags []string, err error) {
	var magic [4]byte
	if _, err := io.ReadFull(br, magic[:]); err != nil {
		return nil, nil, err
	}
	block, err := meta.Parse(br)
	if err != nil {
		return nil, nil, err
	}
	info, ok := block.Body.(*meta.StreamInfo)
	if !ok {
		return nil, nil, errors.New("no stream info")
	}
	const most = 1 << 16 // tags are short, but may hold pictures
	for !block.IsLast {
		if block, err = meta.New(br); err != nil && err != meta.ErrReservedType {
			return nil, nil, err
		}
		if block.Type != meta.TypeVorbisComment || block.Length > most {
			if err = block.Skip(); err != nil {
				return nil, nil, err
			}
			continue
		}
		if err = block.Parse(); err != nil {
			return nil, nil, err
		}
		if c, ok := block.Body.(*meta.VorbisComment); ok {
			for _, t := range c.Tags {
				tags = append(tags, t[0]+"="+t[1])
			}
		}
	}
	return info, tags, nil
}

func (f *flacDecoder) next() (block []float32, silence int64, err error) {
	fr := f.after
	if f.after = nil; fr == nil {
		if fr, err = f.parse(); err != nil {
			if fr, silence, err = f.resume(err); err != nil {
				return nil, 0, err
			}
		}
	}
	if silence > 0 {
		f.after = fr // none after the last
		f.done += silence
		return nil, silence, nil
	}
	if !f.begun {
		f.begun, f.origin = true, f.number(fr)-f.done
	}
	f.done += int64(fr.BlockSize)
	return f.interleave(fr), 0, nil
}

// number is that of the first sample of a frame.
func (f *flacDecoder) number(fr *frame.Frame) int64 {
	if fr.HasFixedBlockSize {
		return int64(fr.Num) * f.fixed
	}
	return int64(fr.Num)
}

// resume looks for the next frame after one that cannot be decoded, and tells how many samples were lost.
func (f *flacDecoder) resume(cause error) (fr *frame.Frame, lost int64, err error) {
	stated := int64(f.info.NSamples)
	if stated > 0 && f.done >= stated { // whatever follows the last frame, such as a tag
		return nil, 0, io.EOF
	}
	if cause == io.EOF && len(f.bytes.kept) == 0 {
		return nil, 0, f.finish(cause)
	}
	var passed int64
	for {
		n, err := f.bytes.seek(0xFF, func(a, b byte) bool { return a == 0xFF && b&0xFE == 0xF8 }) // RFC 9639 section 9.1
		if passed += n; err != nil {
			if f.done == 0 && cause != io.EOF && !errors.Is(cause, io.ErrUnexpectedEOF) {
				return nil, 0, mended{fmt.Errorf("holds no FLAC frame that can be decoded (%w)", cause), "convert it to WAV"}
			}
			// The last frames are there, damaged, unless they end too soon or are more than the bytes can have held.
			missing := stated - f.done
			if err == io.EOF && !errors.Is(cause, io.ErrUnexpectedEOF) && cause != io.EOF && missing > 0 && missing <= f.heldBy(passed) {
				return nil, missing, nil
			}
			return nil, 0, f.finish(err)
		}
		if fr, err = f.parse(); err != nil {
			continue
		}
		// What the frame is numbered must agree with what the bytes can have held. Where pieces of the file are missing the length that it states vouches for the number.
		number := f.number(fr) - f.origin
		lost = number - f.done
		if lost < 0 {
			continue
		}
		if most := f.heldBy(passed); lost > most && !(stated > 0 && number+int64(fr.BlockSize) <= stated) {
			lost = most
		}
		f.begun, f.origin = true, f.number(fr)-f.done-lost
		return fr, lost, nil
	}
}

// heldBy is how many samples a number of bytes can have held at most: a frame takes 10 bytes or more (RFC 9639
// section 9).
func (f *flacDecoder) heldBy(bytes int64) int64 { return (bytes/10 + 1) * f.fixed }

// finish is the error at the end of the stream.
func (f *flacDecoder) finish(cause error) error {
	stated := int64(f.info.NSamples)
	switch {
	case cause != io.EOF && cause != io.ErrUnexpectedEOF:
		return cause
	case stated > 0:
		return cutShort(f.done, stated)
	case cause == io.EOF && len(f.bytes.kept) == 0:
		return io.EOF
	}
	return mended{fmt.Errorf("ends inside a FLAC frame after %d samples: %w", f.done, io.ErrUnexpectedEOF),
		"what is there has been read"}
}

// interleave gives the samples of a frame.
func (f *flacDecoder) interleave(fr *frame.Frame) []float32 {
	channels := len(fr.Subframes)
	if n := channels * int(fr.BlockSize); cap(f.block) < n {
		f.block = make([]float32, n)
	}
	block := f.block[:channels*int(fr.BlockSize)]
	for c, sub := range fr.Subframes {
		for i, v := range sub.Samples {
			block[i*channels+c] = float32(v) * f.scale
		}
	}
	return block
}

// end finds the last frame header in a file that states no length, and tells how many samples precede the end of its
// frame; -1 if there is none.
func (f *flacDecoder) end(file io.ReaderAt, size int64) int64 {
	b := make([]byte, min(size, int64(f.bytes.limit)))
	if _, err := file.ReadAt(b, size-int64(len(b))); err != nil && err != io.EOF {
		return -1
	}
	for i := len(b) - 2; i >= 0; i-- {
		if b[i] != 0xFF || b[i+1]&0xFE != 0xF8 {
			continue
		}
		if fr, err := frame.New(bytes.NewReader(b[i:])); err == nil && fr.Channels.Count() == int(f.info.NChannels) {
			return f.number(fr) + int64(fr.BlockSize)
		}
	}
	return -1
}

// parse decodes the frame that begins at the mark, and sets the mark behind it.
func (f *flacDecoder) parse() (fr *frame.Frame, err error) {
	defer recoverAny(&err)
	if fr, err = frame.New(&f.bytes); err != nil {
		return nil, err
	}
	// A frame may leave rate and size to the stream (RFC 9639 sections 9.1.2, 9.1.4); Frame.Parse does not look there.
	if fr.BitsPerSample == 0 {
		fr.BitsPerSample = f.info.BitsPerSample
	}
	if fr.Channels.Count() != int(f.info.NChannels) || fr.BitsPerSample != f.info.BitsPerSample ||
		fr.SampleRate != 0 && fr.SampleRate != f.info.SampleRate {
		return nil, errors.New("channels, rate or bits change within the stream")
	}
	if err = fr.Parse(); err != nil {
		return nil, err
	}
	for _, sub := range fr.Subframes {
		if len(sub.Samples) != int(fr.BlockSize) {
			return nil, errors.New("subframes of different length")
		}
	}
	f.bytes.mark()
	return fr, nil
}

// quietFLAC keeps a remark of the library out of the log: it writes one for each frame at 24 and 176.4 kHz,
// asking for such recordings. All else that is logged passes.
var quietFLAC = sync.OnceFunc(func() { log.SetOutput(remarkFilter{log.Writer()}) })

type remarkFilter struct{ io.Writer }

func (w remarkFilter) Write(b []byte) (int, error) {
	if bytes.Contains(b, []byte("The flac library test cases do not yet include")) {
		return len(b), nil
	}
	return w.Writer.Write(b)
}
