package audio

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"
	"log"
	"sync"

	"github.com/mewkiz/flac"
	"github.com/mewkiz/flac/frame"
	"github.com/mewkiz/flac/meta"
)

// flacReader decodes FLAC (RFC 9639) frame by frame; the library checks each frame's checksums.
type flacReader struct {
	stream *flac.Stream
	info   *meta.StreamInfo
	pick   int          // index of the channel, mixAll or iqPair
	frame  *frame.Frame // partly delivered
	pos    int          // samples of frame that are delivered
	done   int64        // samples a channel, decoded
	scale  float32
}

func (s *Source) openFLAC(br *bufio.Reader, o Options) error {
	quietFLAC()
	f := &flacReader{}
	if err := f.open(br); err != nil {
		return err
	}
	s.channels = int(f.info.NChannels)
	if n := f.info.NSamples; n > 0 { // 36 bits; 0 is unknown (RFC 9639 section 8.2)
		s.length, s.held = int64(n), int64(n)
	}
	var err error
	if f.pick, err = s.check(float64(f.info.SampleRate), o); err != nil {
		return err
	}
	f.scale = 1 / float32(uint64(1)<<(f.info.BitsPerSample-1))
	if err := f.next(); err == io.EOF || err != nil && errors.Is(err, io.ErrUnexpectedEOF) && f.done == 0 {
		return errNoSamples
	} else if err != nil {
		return err
	}
	s.reader = f
	return nil
}

func (f *flacReader) open(br *bufio.Reader) (err error) {
	defer recoverFLAC(&err)
	f.stream, err = flac.New(br)
	if err == io.EOF || err == io.ErrUnexpectedEOF {
		return mended{fmt.Errorf("ends inside the FLAC header: %w", io.ErrUnexpectedEOF), "record it again"}
	}
	if err != nil {
		return mended{fmt.Errorf("damaged FLAC header (%w)", err), "record it again"}
	}
	f.info = f.stream.Info
	return nil
}

func (f *flacReader) read(dst []float32) (int, error) {
	for f.pos == int(f.frame.BlockSize) {
		if err := f.next(); err != nil {
			return 0, err
		}
	}
	n := min(len(dst), int(f.frame.BlockSize)-f.pos)
	if f.pick == iqPair {
		n = min(len(dst)/2, int(f.frame.BlockSize)-f.pos)
		for c := range 2 {
			for i, v := range f.frame.Subframes[c].Samples[f.pos:][:n] {
				dst[2*i+c] = float32(v) * f.scale
			}
		}
		f.pos += n
		return 2 * n, nil
	}
	dst = dst[:n]
	if f.pick != mixAll {
		for i, v := range f.frame.Subframes[f.pick].Samples[f.pos:][:n] {
			dst[i] = float32(v) * f.scale
		}
	} else {
		clear(dst)
		scale := f.scale / float32(f.info.NChannels)
		for _, sub := range f.frame.Subframes {
			for i, v := range sub.Samples[f.pos:][:n] {
				dst[i] += float32(v) * scale
			}
		}
	}
	f.pos += n
	return n, nil
}

// next decodes the next frame.
func (f *flacReader) next() error {
	fr, err := f.parse()
	stated := int64(f.info.NSamples)
	switch {
	case err == nil:
		f.frame, f.pos = fr, 0
		f.done += int64(fr.BlockSize)
		return nil
	case stated > 0 && f.done >= stated: // whatever follows the last frame, such as a tag
		return io.EOF
	case err == io.EOF && stated == 0:
		return io.EOF
	case err == io.EOF, errors.Is(err, io.ErrUnexpectedEOF):
		if stated == 0 {
			return mended{fmt.Errorf("ends inside a FLAC frame after %d samples: %w", f.done, io.ErrUnexpectedEOF),
				"what is there has been read"}
		}
		return cutShort(f.done, stated)
	default:
		return mended{fmt.Errorf("damaged FLAC frame after %d samples (%w)", f.done, err), "what precedes it has been read"}
	}
}

func (f *flacReader) parse() (fr *frame.Frame, err error) {
	defer recoverFLAC(&err)
	if fr, err = f.stream.Next(); err != nil {
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
	return fr, nil
}

// recoverFLAC turns a panic of the library over hostile bytes into an error. None is known; fuzzing found none.
func recoverFLAC(err *error) {
	if p := recover(); p != nil {
		*err = fmt.Errorf("cannot be decoded: %v", p)
	}
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
