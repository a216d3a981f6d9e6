package soundring

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"strings"
	"time"

	"github.com/mewkiz/flac"
	"github.com/mewkiz/flac/meta"

	"ionoscribe/internal/fault"
)

// Span is some of a receiver's sound. It is a demod.SampleReader, or a demod.IQReader.
type Span struct {
	Begin time.Time // UTC of the first sample
	IQ    bool

	rate    float64
	pieces  []Piece
	piece   *piece
	ends    time.Time // of what was read of the pieces
	silence int64     // samples that are still to be given
	held    []int16   // samples that are still to be given, after the silence
	left    int64     // samples until the end
	lost    int64
}

// Read opens what a station's folder has of a receiver's sound in a time, also while it is written: the piece in progress
// is left out. What is missing within is silence, and so is what has another sample rate. It fails if there is none.
func Read(dir, receiver string, from, to time.Time) (*Span, error) {
	folder := folderOf(dir, receiver)
	all, err := list(folder)
	if err != nil {
		return nil, err
	}
	s := &Span{}
	for _, p := range all {
		if p.Begin.Before(to) && p.End.Add(time.Second).After(from) {
			s.pieces = append(s.pieces, p)
		}
	}
	for s.piece == nil && len(s.pieces) > 0 {
		p, err := openPiece(s.pieces[0].Path)
		s.pieces = s.pieces[1:]
		if err != nil {
			continue // it is damaged, or was deleted meanwhile
		}
		s.piece, s.rate, s.IQ, s.Begin, s.ends = p, p.rate, p.iq, p.begin, p.begin
	}
	if s.piece == nil {
		return nil, none(folder, receiver, from, to)
	}
	if skip := from.Sub(s.Begin); skip > 0 {
		n := s.samples(skip)
		s.Begin = s.Begin.Add(s.duration(n))
		s.left = n
		for s.left > 0 {
			if _, err := s.read(int(min(s.left, 1<<16)), func(int, []int16) {}, func(int, int) {}); err != nil {
				s.Close()
				return nil, none(folder, receiver, from, to)
			}
		}
		s.lost = 0
	}
	s.left = max(0, s.samples(to.Sub(s.Begin)))
	return s, nil
}

func none(folder, receiver string, from, to time.Time) error {
	const form = "2006-01-02T15:04:05Z"
	return &fault.Error{Op: "read", Path: folder, Err: fmt.Errorf("there is no sound of receiver %q between %s and %s", receiver, from.UTC().Format(form), to.UTC().Format(form)),
		Mend: "ask for a later time, or keep more sound"}
}

func (s *Span) samples(d time.Duration) int64 { return int64(math.Round(d.Seconds() * s.rate)) }
func (s *Span) duration(n int64) time.Duration {
	return time.Duration(math.Round(float64(n) / s.rate * 1e9))
}
func (s *Span) channels() int {
	if s.IQ {
		return 2
	}
	return 1
}

// SampleRate is in Hz.
func (s *Span) SampleRate() float64 { return s.rate }

// Lost is how many of the samples that were read are silence in the place of what is missing.
func (s *Span) Lost() int64 { return s.lost }

// ReadSamples reads audio.
func (s *Span) ReadSamples(dst []float32) (int, error) {
	return s.read(len(dst), func(at int, samples []int16) {
		for i, v := range samples {
			dst[at+i] = float32(v) / 32768
		}
	}, func(from, to int) { clear(dst[from:to]) })
}

// ReadIQ reads complex samples.
func (s *Span) ReadIQ(dst []complex64) (int, error) {
	return s.read(len(dst), func(at int, samples []int16) {
		for i := 0; i+1 < len(samples); i += 2 {
			dst[at+i/2] = complex(float32(samples[i])/32768, float32(samples[i+1])/32768)
		}
	}, func(from, to int) { clear(dst[from:to]) })
}

// read reads up to n samples: give takes some, silent is told of those that are missing.
func (s *Span) read(n int, give func(at int, samples []int16), silent func(from, to int)) (done int, err error) {
	n = int(min(int64(n), s.left))
	if n == 0 {
		return 0, io.EOF
	}
	for done < n {
		if s.silence == 0 && len(s.held) == 0 {
			if err := s.more(); err != nil {
				break
			}
		}
		if k := int(min(s.silence, int64(n-done))); k > 0 {
			silent(done, done+k)
			s.silence -= int64(k)
			s.lost += int64(k)
			done += k
			continue
		}
		k := min(len(s.held)/s.channels(), n-done)
		give(done, s.held[:k*s.channels()])
		s.held = s.held[k*s.channels():]
		done += k
	}
	s.left -= int64(done)
	if done == 0 {
		return 0, io.EOF
	}
	return done, nil
}

// more has something held, or silence, unless nothing more comes.
func (s *Span) more() error {
	for s.silence == 0 && len(s.held) == 0 {
		if s.piece == nil {
			if err := s.nextPiece(); err != nil {
				return err
			}
			continue
		}
		samples, err := s.piece.next()
		s.ends = s.ends.Add(s.duration(int64(len(samples) / s.channels())))
		if s.held = samples; err != nil { // its end, or what is behind is damaged, and missing
			s.piece.close()
			s.piece = nil
		}
	}
	return nil
}

// nextPiece opens the next piece that can be used.
func (s *Span) nextPiece() error {
	for len(s.pieces) > 0 {
		p, err := openPiece(s.pieces[0].Path)
		s.pieces = s.pieces[1:]
		if err != nil {
			continue
		}
		if p.rate != s.rate || p.iq != s.IQ {
			p.close()
			continue
		}
		switch d := p.begin.Sub(s.ends); {
		case d > leastJump:
			s.silence = s.samples(d)
		case d < -leastJump: // the clock was set back: what is told of twice is passed over
			if err := p.skip(s.samples(-d)); err != nil {
				p.close()
				continue
			}
			p.begin = s.ends
		}
		s.piece, s.ends = p, p.begin
		return nil
	}
	return io.EOF
}

// Close closes it.
func (s *Span) Close() error {
	if s.piece != nil {
		s.piece.close()
		s.piece = nil
	}
	return nil
}

// piece is one that is being read.
type piece struct {
	file   *os.File
	stream *flac.Stream
	rate   float64
	iq     bool
	begin  time.Time
	block  []int16
	rest   []int16 // behind what was skipped
}

// openPiece opens a piece, also one that was cut short.
func openPiece(path string) (p *piece, err error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	p = &piece{file: f}
	defer func() {
		if recover() != nil {
			err = errDamaged
		}
		if err != nil {
			f.Close()
		}
	}()
	if p.stream, err = flac.Parse(bufio.NewReaderSize(f, 1<<16)); err != nil {
		return nil, err
	}
	i := p.stream.Info
	if i.BitsPerSample != bits || i.NChannels < 1 || i.NChannels > 2 || i.SampleRate == 0 {
		return nil, errDamaged
	}
	p.rate, p.iq = float64(i.SampleRate), i.NChannels == 2
	for _, b := range p.stream.Blocks {
		if c, ok := b.Body.(*meta.VorbisComment); ok {
			for _, t := range c.Tags {
				if strings.EqualFold(t[0], "DATE") {
					p.begin, _ = time.Parse(dateForm, t[1])
				}
			}
		}
	}
	if p.begin.IsZero() {
		return nil, errDamaged
	}
	return p, nil
}

var errDamaged = errors.New("it is damaged")

// next gives the samples of the next frame, both parts of complex ones, which are valid until the next call.
func (p *piece) next() (samples []int16, err error) {
	defer func() {
		if recover() != nil { // the library does so for some damage
			samples, err = nil, errDamaged
		}
	}()
	if len(p.rest) > 0 {
		samples, p.rest = p.rest, nil
		return samples, nil
	}
	f, err := p.stream.ParseNext()
	if err != nil {
		return nil, err
	}
	n := len(f.Subframes)
	p.block = p.block[:0]
	for i := range f.Subframes[0].Samples {
		for c := range n {
			p.block = append(p.block, int16(f.Subframes[c].Samples[i]))
		}
	}
	return p.block, nil
}

// skip passes over n samples.
func (p *piece) skip(n int64) error {
	channels := int64(1)
	if p.iq {
		channels = 2
	}
	for n > 0 {
		samples, err := p.next()
		if err != nil {
			return err
		}
		k := min(n, int64(len(samples))/channels)
		n -= k
		p.rest = samples[k*channels:]
	}
	return nil
}

func (p *piece) close() { p.file.Close() }
