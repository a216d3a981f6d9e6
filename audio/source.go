package audio

import (
	"io"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"ionoscribe/demod"
)

// How the start of a source is known, as Source.StartFrom gives it.
const (
	FromOrder    = "ordered"
	FromBext     = "bext chunk"
	FromTags     = "tags"
	FromSigMF    = "SigMF metadata"
	FromName     = "file name"
	FromFile     = "file time"
	FromFileOnly = "file time, length unknown" // it is the end of the recording rather than its start
	FromClock    = "clock"
	FromFastPipe = "clock, a pipe faster than time" // it is a recording, and says nothing of its time
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
	values    int          // that a sample takes when it is read: 2 of complex ones
	clock     *sampleClock // of a live source or a pipe
	pipe      bool         // whose time is the clock's
	dial      float64      // Hz; 0: not known
	dialFrom  string
	reader    channelReader
	lost      atomic.Int64 // samples of silence in the place of others
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

// Start is the instant of the first sample, UTC; see Time.
func (s *Source) Start() time.Time { return s.Time(0) }

// Time is the instant of a sample, UTC. Of a live source and a pipe it changes as samples come: what their clock is wrong
// by is measured, and the system's clock may be set. It may be asked at any time.
func (s *Source) Time(sample int64) time.Time {
	if s.clock != nil {
		return s.clock.time(sample)
	}
	return s.start.Add(demod.Rate(s.rate).Duration(sample))
}

// ClockPPM is by how much the clock of a live source is fast, as it has been measured so far, in millionths; else 0.
func (s *Source) ClockPPM() float64 {
	if s.clock == nil {
		return 0
	}
	return s.clock.error()
}

// StartFrom tells how the start is known: one of the From constants.
func (s *Source) StartFrom() string {
	if s.pipe && s.clock.fast() {
		return FromFastPipe
	}
	return s.startFrom
}

// Dial is the frequency in Hz that the receiver was tuned to, of complex samples the one in their middle, if it was
// ordered, or the recording or its name tells it; else 0.
func (s *Source) Dial() float64 { return s.dial }

// DialFrom tells how Dial is known, one of the From constants; "" if it is not.
func (s *Source) DialFrom() string { return s.dialFrom }

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
	if s.clock != nil {
		s.clock.read(n / s.values)
	}
	return n, err
}

// Lost is how many of the samples that were read stand for what was lost or damaged; they are silence.
func (s *Source) Lost() int64 { return s.lost.Load() }

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
	text := ""
	if s.report != nil {
		text = s.report()
	}
	if s.StartFrom() == FromFastPipe {
		text = strings.TrimPrefix(text+"; "+"came faster than it sounds, so it is a recording whose time is not known, and UTC is that of reading; --start gives it", "; ")
	}
	return text
}

// UsableStart tells whether a recording can have begun at t: names and JSON have years of four digits, also that of its end.
func UsableStart(t time.Time) bool { return t.Year() >= 1900 && t.Year() < 9999 }

func (s *Source) setStart(in input, o Options) {
	byName, ok := nameTime(in.name)
	switch {
	case !o.Start.IsZero():
		s.start, s.startFrom = o.Start, FromOrder
	case !s.stamp.IsZero():
		s.start, s.startFrom = s.stamp, s.stampFrom
	case ok:
		s.start, s.startFrom = byName, FromName
	case in.written.IsZero():
		s.pipe, s.clock, s.startFrom = true, newSampleClock(s.rate, systemInstant, time.Time{}, time.Time{}), FromClock
	case s.held < 0:
		s.start, s.startFrom = in.written, FromFileOnly
	default:
		s.start, s.startFrom = in.written.Add(-demod.Rate(s.rate).Duration(s.held)), FromFile
	}
	if s.clock == nil && !UsableStart(s.start) { // a file's time may be anything
		s.start, s.startFrom = time.Now(), FromClock
	}
	s.start = s.start.UTC()
	if hz, ok := nameDial(in.name, s.rate); ok && s.dial == 0 {
		s.dial, s.dialFrom = hz, FromName
	}
}
