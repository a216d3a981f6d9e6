package audio

import (
	"io"
	"sync/atomic"
)

// decoder decodes a compressed recording, all channels of it.
type decoder interface {
	// next gives the next samples, interleaved and valid until the next call, or a number of frames of silence in the
	// place of what is damaged; neither of them only with an error.
	next() (block []float32, silence int64, err error)
}

// decodedReader is the channelReader of a decoder.
type decodedReader struct {
	decoder
	channels int
	pick     int // index of the channel, mixAll or iqPair
	block    []float32
	silence  int64
	gap      bool // silence was given last
	damage   damage
	lost     *atomic.Int64
}

// openDecoder makes s a source of d, whose first samples it waits for.
func (s *Source) openDecoder(d decoder, rate float64, o Options) error {
	pick, err := s.check(rate, o)
	if err != nil {
		return err
	}
	r := &decodedReader{decoder: d, channels: s.channels, pick: pick, damage: damage{rate: rate}, lost: &s.lost}
	if err := r.fill(); err == io.EOF {
		return errNoSamples
	} else if err != nil {
		return err
	}
	s.reader = r
	s.report = r.damage.report
	return nil
}

// fill waits for samples or silence.
func (r *decodedReader) fill() (err error) {
	for err == nil && len(r.block) == 0 && r.silence == 0 {
		r.block, r.silence, err = r.next()
	}
	if r.silence > 0 {
		r.damage.add(r.silence, !r.gap)
	}
	r.gap = r.silence > 0
	return err
}

func (r *decodedReader) read(dst []float32) (int, error) {
	if len(r.block) == 0 && r.silence == 0 {
		if err := r.fill(); err != nil && len(r.block) == 0 && r.silence == 0 {
			return 0, err
		}
	}
	values := 1
	if r.pick == iqPair {
		values = r.channels
	}
	frames := len(dst) / values
	if r.silence > 0 {
		frames = int(min(int64(frames), r.silence))
		clear(dst[:frames*values])
		r.silence -= int64(frames)
		r.lost.Add(int64(frames))
		return frames * values, nil
	}
	frames = min(frames, len(r.block)/r.channels)
	src := r.block[:frames*r.channels]
	r.block = r.block[len(src):]
	dst = dst[:frames*values]
	switch r.pick {
	case iqPair:
		copy(dst, src)
	case mixAll:
		scale := 1 / float32(r.channels)
		for i := range dst {
			sum := float32(0)
			for _, v := range src[i*r.channels:][:r.channels] {
				sum += v
			}
			dst[i] = sum * scale
		}
	default:
		for i := range dst {
			dst[i] = src[i*r.channels+r.pick]
		}
	}
	return len(dst), nil
}
