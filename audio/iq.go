package audio

import (
	"errors"
	"fmt"
	"time"

	"ionoscribe/demod"
)

// How the two channels of a source are complex samples, for Options.IQ. Left is I and right is Q. Exchanged, they
// mirror the spectrum about its centre, and so does a Q of the wrong sign: the two differ by a constant phase of a
// quarter turn, which no decoder can tell, and both at once mirror nothing. So there are two forms and three words.
const (
	IQNormal   = "normal"
	IQSwapped  = "swapped"
	IQMirrored = "mirrored"
)

// dcSeconds is the time constant of what follows a constant offset of I and Q, the spur at 0 Hz that receivers have.
// It takes away 3 dB at ±0.16 Hz, 1/(2π·dcSeconds), and leaves alone what a mode could be sent in.
const dcSeconds = 1

// iqPair stands for both channels, interleaved, where the index of one is expected.
const iqPair = -2

// IQSource is a recording or stream of complex samples; it implements demod.IQReader.
type IQSource struct {
	s      *Source
	mirror bool
	dc     demod.DCBlock
	pairs  []float32
}

var _ demod.IQReader = (*IQSource)(nil)

// OpenIQ opens a source of two channels as complex samples; it is Open for o.IQ, of which "" is normal. Raw samples
// have two channels without being told.
func OpenIQ(path string, o Options) (*IQSource, error) {
	if o.IQ == "" {
		o.IQ = IQNormal
	}
	s, err := openAny(path, o)
	if err != nil {
		return nil, err
	}
	return &IQSource{
		s: s, mirror: o.IQ != IQNormal, dc: demod.NewDCBlock(s.rate, dcSeconds), pairs: make([]float32, 2*iqBlock),
	}, nil
}

// iqBlock is how many complex samples are read at a time, at most.
const iqBlock = 4096

// pickIQ checks that a source can be read as complex samples.
func pickIQ(o Options, channels int) (int, error) {
	switch {
	case o.IQ != IQNormal && o.IQ != IQSwapped && o.IQ != IQMirrored:
		return 0, mended{fmt.Errorf("unknown form %q of I and Q", o.IQ), "give normal, swapped or mirrored"}
	case o.Channel != "" && o.Channel != "left":
		return 0, mended{errors.New("both channels are I and Q"), "leave out --channel"}
	case channels != 2:
		return 0, mended{fmt.Errorf("has %d channels where I and Q are two", channels), "leave out --iq to read it as audio"}
	}
	return iqPair, nil
}

// SampleRate is that of complex samples in Hz.
func (q *IQSource) SampleRate() float64 { return q.s.rate }

// Length is the number of complex samples; see Source.Length.
func (q *IQSource) Length() int64 { return q.s.length }

// Start is the instant of the first sample, UTC.
func (q *IQSource) Start() time.Time { return q.s.Start() }

// Time is Source.Time.
func (q *IQSource) Time(sample int64) time.Time { return q.s.Time(sample) }

// ClockPPM is Source.ClockPPM.
func (q *IQSource) ClockPPM() float64 { return q.s.ClockPPM() }

// StartFrom tells how the start is known; see Source.StartFrom.
func (q *IQSource) StartFrom() string { return q.s.StartFrom() }

// Dial is Source.Dial.
func (q *IQSource) Dial() float64 { return q.s.Dial() }

// DialFrom is Source.DialFrom.
func (q *IQSource) DialFrom() string { return q.s.DialFrom() }

// ReadIQ fills dst with up to len(dst) complex samples; errors are as of Source.ReadSamples. A constant offset is
// taken away, its mean over some dcSeconds.
func (q *IQSource) ReadIQ(dst []complex64) (int, error) {
	if len(dst) == 0 {
		return 0, q.s.err
	}
	n, err := q.s.readAny(q.pairs[:2*min(len(dst), iqBlock)])
	n /= 2
	dst = dst[:n]
	for i := range dst {
		dst[i] = complex(q.pairs[2*i], q.pairs[2*i+1])
	}
	if q.mirror {
		for i, z := range dst {
			dst[i] = complex(real(z), -imag(z))
		}
	}
	q.dc.Filter(dst, dst)
	return n, err
}

// Close is Source.Close.
func (q *IQSource) Close() error { return q.s.Close() }

// Lost is Source.Lost.
func (q *IQSource) Lost() int64 { return q.s.Lost() }

// Report is Source.Report.
func (q *IQSource) Report() string { return q.s.Report() }
