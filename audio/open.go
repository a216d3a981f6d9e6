package audio

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"
	"time"
)

// Limits of what is read. Below MinRate the upper radiofax tone of 2300 Hz and its sidebands do not fit
// under half the rate; MaxRate is the highest rate that common sound hardware and FLAC's table of rates
// (RFC 9639 section 9.1.2) share. MaxChannels is that of FLAC (RFC 9639 section 9.1.3).
const (
	MinRate     = 6000   // Hz
	MaxRate     = 192000 // Hz
	MaxIQRate   = 4e6    // Hz, of complex samples: what demod.Tuner takes
	MaxChannels = 8
)

// Options of Open. The zero value reads the first channel of any recording that tells what it is.
type Options struct {
	Rate     float64   // of raw samples, Hz
	Encoding Encoding  // of raw samples
	Channels int       // of raw samples, interleaved; 0 is one
	Channel  string    // which channel to read: "left" (also ""), "right", "mix" (mean of all), or a number from "1"
	IQ       string    // for OpenIQ: how the two channels are complex samples, one of the IQ constants
	Start    time.Time // orders the instant of the first sample; zero: find out
	Dial     float64   // orders the frequency that the receiver was tuned to, Hz; 0: find out
	Stdin    io.Reader // what the path "-" reads; nil is os.Stdin

	// Listening is told the address of rtp://ADDRESS:0, which listens at a port that is free; nil makes port 0 an error.
	Listening func(address string)
}

// Open opens a recording or raw samples; the path "-" is standard input, rtp://ADDRESS:PORT and
// tcp://HOST:PORT are the network. It reads as far as the first sample, so on a pipe or a network it waits for one.
// Every error is an *Error.
//
// The first channel is the default, not the mean: the two sides may carry two receivers.
func Open(path string, o Options) (*Source, error) {
	o.IQ = ""
	return openAny(path, o)
}

// openAny opens one channel, or both if o.IQ is set.
func openAny(path string, o Options) (*Source, error) {
	s, err := openUntuned(path, o)
	if err == nil && o.Dial != 0 {
		s.dial, s.dialFrom = o.Dial, FromOrder
	}
	return s, err
}

func openUntuned(path string, o Options) (*Source, error) {
	if isSigMF(path) {
		return openSigMF(path, o)
	}
	o = named(path, o)
	if path == "-" {
		r := o.Stdin
		if r == nil {
			r = os.Stdin
		}
		return open(r, nil, standardInput(r), o)
	}
	if IsLive(path) {
		return openLive(path, o)
	}
	f, err := os.Open(path)
	if err != nil {
		return nil, newError("open", path, err)
	}
	in := input{name: path, size: -1}
	fi, err := f.Stat()
	switch {
	case err != nil:
	case fi.IsDir():
		err = mended{errors.New("is a directory"), "name the recordings in it"}
	case fi.Mode().IsRegular():
		in.size, in.written, in.at = fi.Size(), fi.ModTime(), f
	}
	if err != nil {
		f.Close()
		return nil, newError("open", path, err)
	}
	return open(f, f, in, o)
}

// standardInput tells what is known of it: more if it is a file.
func standardInput(r io.Reader) input {
	in := input{name: "standard input", size: -1}
	f, ok := r.(*os.File)
	if !ok {
		return in
	}
	fi, err := f.Stat()
	if err != nil || !fi.Mode().IsRegular() {
		return in
	}
	if at, err := f.Seek(0, io.SeekCurrent); err == nil && at == 0 {
		in.size, in.written, in.at = fi.Size(), fi.ModTime(), f
	}
	return in
}

// input is what is known of a source before its first byte is read.
type input struct {
	name    string
	size    int64       // bytes; -1: a pipe or device
	written time.Time   // when a file was last written; zero: a pipe or device
	at      io.ReaderAt // of a file; nil: a pipe or device
}

func open(r io.Reader, c io.Closer, in input, o Options) (*Source, error) {
	s, err := newSource(r, in, o)
	if err != nil {
		if c != nil {
			c.Close()
		}
		return nil, newError("open", in.name, err)
	}
	s.closer = c
	return s, nil
}

// ioBlock is the size in bytes of one read from the system: 0.3 s of 16-bit mono at 96 kHz.
const ioBlock = 64 << 10

func newSource(r io.Reader, in input, o Options) (*Source, error) {
	br := bufio.NewReaderSize(r, ioBlock)
	magic, err := br.Peek(4)
	if err != nil && err != io.EOF {
		return nil, err
	}
	s := &Source{name: in.name, length: -1, held: -1}
	switch string(magic) {
	case "RIFF", "RF64", "BW64":
		err = s.openWAV(br, in, o)
	case "riff":
		err = s.openW64(br, in, o)
	case "FORM":
		err = s.openAIFF(br, in, o)
	case "OggS":
		err = s.openOgg(br, in, o)
	case "fLaC":
		err = s.openFLAC(br, in, o)
	default:
		raw := o.Rate != 0 || o.Encoding != "" // whose first bytes may be like any
		if string(magic[:min(3, len(magic))]) == "ID3" && !raw || looksMP3(magic) && !raw {
			err = s.openMP3(br, in, o)
		} else {
			err = s.openRaw(br, in, o, magic)
		}
	}
	if err != nil {
		return nil, err
	}
	s.setStart(in, o)
	return s, nil
}

func (s *Source) openRaw(br *bufio.Reader, in input, o Options, magic []byte) error {
	switch {
	case len(magic) == 0:
		return mended{errors.New("is empty"), "record it again"}
	case o.Rate == 0 && o.Encoding == "":
		begin, _ := br.Peek(512)
		if name := foreignName(begin); name != "" {
			return unread(name)
		}
		return mended{fmt.Errorf("begins with %q, as no recording does that is read here", magic),
			"convert it to WAV or FLAC, or give --rate and --encoding if it holds raw samples"}
	case o.Rate == 0:
		return mended{errors.New("raw samples without a rate"), "give --rate, or ?rate= behind the source"}
	case o.Encoding == "":
		return mended{errors.New("raw samples without an encoding"), "give --encoding, or ?encoding= behind the source: one of " + encodingNames()}
	}
	s.channels = max(o.Channels, 1)
	if o.IQ != "" && s.channels == 1 {
		s.channels = 2
	}
	format, ok := encodings[Encoding(strings.ToLower(string(o.Encoding)))]
	if !ok {
		return mended{fmt.Errorf("unknown encoding %q", o.Encoding), "give one of " + encodingNames()}
	}
	return s.openPCM(br, format, o.Rate, in.size, in.size, o)
}

// openPCM makes a source of the samples that br holds next: stated bytes of them (-1: to the end of the source),
// of which there are there (-1: unknown).
func (s *Source) openPCM(br *bufio.Reader, format pcmFormat, rate float64, stated, there int64, o Options) error {
	pick, err := s.check(rate, o)
	if err != nil {
		return err
	}
	frame := format.width * s.channels
	if _, err := br.Peek(frame); err == io.EOF {
		return errNoSamples
	} else if err != nil {
		return err
	}
	if stated >= 0 {
		s.length = stated / int64(frame)
		if s.length == 0 {
			return errNoSamples
		}
	}
	if there >= 0 {
		s.held = there / int64(frame)
	}
	s.reader = newPCMReader(br, format, s.channels, pick, s.length)
	return nil
}

var errNoSamples = mended{errors.New("has a header but no samples"), "record it again"}

// check checks the limits of a source, takes its rate, and finds the channel to read.
func (s *Source) check(rate float64, o Options) (pick int, err error) {
	most := MaxRate
	if o.IQ != "" {
		most = MaxIQRate
	}
	if !(rate >= MinRate && rate <= float64(most)) {
		return 0, mended{fmt.Errorf("has a sample rate of %g Hz", rate), fmt.Sprintf("resample it to between %d and %d Hz", MinRate, most)}
	}
	if s.channels < 1 || s.channels > MaxChannels {
		return 0, mended{fmt.Errorf("has %d channels", s.channels),
			fmt.Sprintf("extract one of them: at most %d can be read", MaxChannels)}
	}
	if o.Rate != 0 && o.Rate != rate {
		return 0, mended{fmt.Errorf("states %g Hz in its header, but %g Hz were ordered", rate, o.Rate),
			"leave out --rate"}
	}
	s.rate, s.values = rate, 1
	if o.IQ != "" {
		s.values = 2
	}
	if o.IQ != "" {
		return pickIQ(o, s.channels)
	}
	return pickChannel(o.Channel, s.channels)
}
