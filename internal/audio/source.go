package audio

import (
	"io"
	"sync"
	"time"

	"ionoscribe/demod"
)

// How the start of a source is known, as Source.StartFrom gives it.
const (
	FromOrder    = "ordered"
	FromBext     = "bext chunk"
	FromTags     = "tags"
	FromFile     = "file time"
	FromFileOnly = "file time, length unknown" // it is the end of the recording rather than its start
	FromClock    = "clock"
)

// Source is one channel of a recording or stream; it implements demod.SampleReader.
type Source struct {
	name      string
	rate      float64 // Hz
	channels  int
	length    int64     // samples a channel as stated; -1 unknown
	held      int64     // samples a channel that are there: less than length if cut short
	stamp     time.Time // of the first sample, as the recording says; zero: it does not
	stampFrom string
	start     time.Time
	startFrom string
	reader    channelReader
	closer    io.Closer
	closeOnce sync.Once
	report    func() string // nil: nothing to report
	err       error
}

var _ demod.SampleReader = (*Source)(nil)

// channelReader reads the picked channel: like demod.SampleReader, but never 0, nil for a dst that is not empty. Of
// iqPair it reads I, Q, I, Q and so on into a dst of even length.
type channelReader interface {
	read(dst []float32) (int, error)
}

// SampleRate is in Hz.
func (s *Source) SampleRate() float64 { return s.rate }

// Channels is the number of channels in the source, of which one (or their mean) is read.
func (s *Source) Channels() int { return s.channels }

// Length is the number of samples a channel that the source holds or, if it is cut short, claims; -1 if it
// does not say. It is meant for progress.
func (s *Source) Length() int64 { return s.length }

// Start is the instant of the first sample, UTC.
func (s *Source) Start() time.Time { return s.start }

// StartFrom tells how the start is known: one of the From constants.
func (s *Source) StartFrom() string { return s.startFrom }

// ReadSamples fills dst with up to len(dst) samples; see demod.SampleReader. Of a source that is cut short
// or damaged the samples before the damage come first, then an *Error; it wraps io.ErrUnexpectedEOF if the
// end is missing. Any error is final.
func (s *Source) ReadSamples(dst []float32) (int, error) { return s.readAny(dst) }

// readAny is ReadSamples, but of complex samples reads pairs.
func (s *Source) readAny(dst []float32) (int, error) {
	if s.err != nil || len(dst) == 0 {
		return 0, s.err
	}
	n, err := s.reader.read(dst)
	if err != nil && err != io.EOF {
		err = newError("read", s.name, err)
	}
	s.err = err
	return n, err
}

// Close closes the file; standard input stays open. It may be called while a read of a live source waits, which then
// ends with io.EOF.
func (s *Source) Close() (err error) {
	s.closeOnce.Do(func() {
		if s.closer != nil {
			err = s.closer.Close()
		}
	})
	return err
}

// Report is a line on what a live source has lost; "" if there is nothing to tell. It may be called at any time.
func (s *Source) Report() string {
	if s.report == nil {
		return ""
	}
	return s.report()
}

func (s *Source) setStart(in input, o Options) {
	switch {
	case !o.Start.IsZero():
		s.start, s.startFrom = o.Start, FromOrder
	case !s.stamp.IsZero():
		s.start, s.startFrom = s.stamp, s.stampFrom
	case in.written.IsZero():
		s.start, s.startFrom = time.Now(), FromClock
	case s.held < 0:
		s.start, s.startFrom = in.written, FromFileOnly
	default:
		s.start, s.startFrom = in.written.Add(-demod.Rate(s.rate).Duration(s.held)), FromFile
	}
	s.start = s.start.UTC()
}
