package soundring

import "time"

// Span is some of a receiver's sound. It is a demod.SampleReader, or a demod.IQReader.
type Span struct {
	Begin time.Time // UTC of the first sample
	IQ    bool
}

// Read opens what a station's folder has of a receiver's sound in a time, also while it is written: the piece in progress
// is left out. What is missing within is silence. It fails if there is none.
func Read(dir, receiver string, from, to time.Time) (*Span, error) { return nil, errNotMade }

// SampleRate is in Hz.
func (s *Span) SampleRate() float64 { return 0 }

// Lost is how many of the samples that were read are silence in the place of what is missing.
func (s *Span) Lost() int64 { return 0 }

// ReadSamples reads audio.
func (s *Span) ReadSamples(dst []float32) (int, error) { return 0, errNotMade }

// ReadIQ reads complex samples.
func (s *Span) ReadIQ(dst []complex64) (int, error) { return 0, errNotMade }

// Close closes it.
func (s *Span) Close() error { return nil }
