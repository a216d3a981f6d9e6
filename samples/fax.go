package samples

import (
	"errors"
	"fmt"
	"image"
	"io"
	"math"
)

// Phasing is the form of the phasing signal (ISO 9876:2015, 3.8).
type Phasing int

const (
	// WhitePulse is black with a white pulse of 5 % of the line, centred on the start of the line.
	WhitePulse Phasing = iota
	// BlackPulse is its negative, common practice of some services.
	BlackPulse
	// HalfAndHalf is black for the first half of the line and white for the second, so the edge from white
	// to black is at the start of the line.
	HalfAndHalf
)

// Defaults of FaxConfig. The sub-carrier is that of the Australian Bureau of Meteorology's broadcast notes and,
// from memory, of CCIR Rec. 343-1; start and stop: broadcast notes and WMO-No. 386 part III-5 (from memory);
// phasing: ISO 9876:2015, 3.8.
const (
	DefaultSampleRate     = 12000.0 // Hz
	DefaultIOC            = 576
	DefaultLPM            = 120.0
	DefaultCentreHz       = 1900.0
	DefaultDeviationHz    = 400.0 // black 1500 Hz, white 2300 Hz; on LF 150
	DefaultStartSeconds   = 5.0
	DefaultPhasingSeconds = 30.0
	DefaultStopSeconds    = 5.0
	DefaultBlackSeconds   = 10.0
	DefaultAmplitude      = 0.25 // leaves room for noise below full scale
)

// Alternations between black and white of the control tones, in Hz: start for index of cooperation 576 and 288
// (ISO 9876:2015, 3.5), stop (WMO-No. 386 part III-5, from memory).
const (
	Start576Hz = 300.0
	Start288Hz = 675.0
	StopHz     = 450.0
)

// FaxConfig describes a radiofax transmission; a zero field is the default.
type FaxConfig struct {
	// Picture is what to send; required. One that is exactly Columns(IOC) wide is sent as it is over the whole
	// line; any other is scaled into the live sector of the line. Transparent parts are white.
	Picture     image.Image
	SampleRate  float64 // Hz
	IOC         int     // index of cooperation: 576 or 288
	LPM         float64 // lines a minute: 60, 90, 120 or 240
	CentreHz    float64 // audio frequency midway between black and white
	DeviationHz float64 // from the centre to black and to white
	Inverted    bool    // received in the other sideband: black is the higher frequency
	Phasing     Phasing
	// Lengths of the parts around the picture; a negative one leaves the part out. Start and stop are rounded
	// to whole alternations, phasing to whole lines, so that the picture begins in phase with it.
	StartSeconds, PhasingSeconds, StopSeconds, BlackSeconds float64

	Amplitude float64 // peak, up to 1
	Video     VideoFilter
}

// Columns is the number of picture elements that a line of index of cooperation ioc is cut into: π·ioc (square
// elements; WMO-No. 386 part III-5, from memory), rounded. 1810 for 576, 905 for 288.
func Columns(ioc int) int { return int(math.Round(math.Pi * float64(ioc))) }

// Fax is a complete radiofax transmission as receiver audio: start tone, phasing, picture, stop tone, black.
//
// The line is cut into Columns(IOC) equal columns; column k lasts from k to k+1 of them after the start of the
// line. Frequency is in proportion to grey and changes at once at the edge of a column, which need not fall on a
// sample; phase is continuous, and at sample n it is 2π times the exact integral of the frequency up to n over
// the sample rate. Edges are computed from their number, never summed up, so nothing drifts. A video filter works on
// what the phase advances by from sample to sample.
type Fax struct {
	cfg   FaxConfig
	paper *paper
	parts []part
	total int64 // samples

	n      int64   // next sample
	cycles float64 // phase of sample n in cycles, in [0, 1)
	filter *videoDelay
	ahead  int64   // next sample whose advance is worked out: n, or later with a filter
	step   float64 // cycles a sample, in the present run
	end    float64 // where the run ends, in samples
	part   int
	unit   int64 // of the part, that follows the run
}

// NewFax checks the configuration and prepares the transmission. A picture that must be scaled is scaled here
// and held at a byte an element; else its rows are read as they are sent, and it must not change meanwhile.
func NewFax(c FaxConfig) (*Fax, error) {
	setDefault(&c.SampleRate, DefaultSampleRate)
	setDefault(&c.LPM, DefaultLPM)
	setDefault(&c.CentreHz, DefaultCentreHz)
	setDefault(&c.DeviationHz, DefaultDeviationHz)
	setDefault(&c.Amplitude, DefaultAmplitude)
	setDefault(&c.StartSeconds, DefaultStartSeconds)
	setDefault(&c.PhasingSeconds, DefaultPhasingSeconds)
	setDefault(&c.StopSeconds, DefaultStopSeconds)
	setDefault(&c.BlackSeconds, DefaultBlackSeconds)
	if c.IOC == 0 {
		c.IOC = DefaultIOC
	}
	if err := c.check(); err != nil {
		return nil, fmt.Errorf("radiofax signal: %w", err)
	}
	p, err := newPaper(c.Picture, Columns(c.IOC))
	if err != nil {
		return nil, fmt.Errorf("radiofax signal: %w", err)
	}
	f := &Fax{cfg: c, paper: p}
	f.parts = f.plan()
	last := f.parts[len(f.parts)-1]
	f.total = int64(math.Ceil(last.end() - 1e-6)) // a transmission of whole samples has no rounding crumb more
	f.nextRun()
	if taps, err := c.Video.taps(c.SampleRate); err != nil {
		return nil, fmt.Errorf("radiofax signal: %w", err)
	} else if taps != nil {
		f.filter = newVideoDelay(taps, f.advance)
	}
	return f, nil
}

func setDefault(v *float64, to float64) {
	if *v == 0 {
		*v = to
	}
}

func (c *FaxConfig) check() error {
	switch {
	case !(c.SampleRate >= 1000 && c.SampleRate <= 10e6):
		return fmt.Errorf("sample rate %v Hz is not within 1 kHz to 10 MHz", c.SampleRate)
	case c.IOC != 576 && c.IOC != 288:
		return fmt.Errorf("index of cooperation %d is neither 576 nor 288", c.IOC)
	case c.LPM != 60 && c.LPM != 90 && c.LPM != 120 && c.LPM != 240:
		return fmt.Errorf("%v lines a minute are none of 60, 90, 120, 240", c.LPM)
	case !(c.DeviationHz > 0 && c.CentreHz-c.DeviationHz > 0 && c.CentreHz+c.DeviationHz < c.SampleRate/2):
		return fmt.Errorf("centre %v Hz ± deviation %v Hz is not within 0 and half the sample rate", c.CentreHz, c.DeviationHz)
	case !(c.Amplitude > 0 && c.Amplitude <= 1):
		return fmt.Errorf("amplitude %v is not within 0 and 1", c.Amplitude)
	case c.Phasing < WhitePulse || c.Phasing > HalfAndHalf:
		return fmt.Errorf("unknown form of phasing %d", c.Phasing)
	case c.Picture == nil:
		return errors.New("no picture")
	}
	for _, s := range []float64{c.StartSeconds, c.PhasingSeconds, c.StopSeconds, c.BlackSeconds} {
		if math.IsNaN(s) || s > 3600 {
			return fmt.Errorf("a part of %v s is longer than an hour", s)
		}
	}
	return nil
}

// SampleRate is in Hz.
func (f *Fax) SampleRate() float64 { return f.cfg.SampleRate }

// Power is the mean power of the signal, A²/2 for a sine wave of peak A: what [NoiseConfig] wants to know.
func (f *Fax) Power() float64 { return f.cfg.Amplitude * f.cfg.Amplitude / 2 }

// Duration is the length of the whole transmission in seconds.
func (f *Fax) Duration() float64 { return float64(f.total) / f.cfg.SampleRate }

// PictureStart is when the first line of the picture starts, in seconds after the first sample.
func (f *Fax) PictureStart() float64 { return f.picturePart().start / f.cfg.SampleRate }

// Lines is the number of lines of the picture as sent.
func (f *Fax) Lines() int { return f.paper.lines }

// ReadSamples implements demod.SampleReader; it allocates nothing.
func (f *Fax) ReadSamples(dst []float32) (int, error) {
	if f.n >= f.total {
		return 0, io.EOF
	}
	if left := f.total - f.n; int64(len(dst)) > left {
		dst = dst[:left]
	}
	for i := range dst {
		dst[i] = float32(f.cfg.Amplitude * math.Sin(2*math.Pi*f.cycles))
		f.n++
		advance := f.advance()
		if f.filter != nil {
			f.filter.put(advance)
			advance = f.filter.out()
		}
		f.cycles += advance
		f.cycles -= math.Floor(f.cycles)
	}
	return len(dst), nil
}

// advance is by how many cycles the phase advances to the next sample, before any filter.
func (f *Fax) advance() (cycles float64) {
	t := float64(f.ahead)
	f.ahead++
	stop := float64(f.ahead)
	for f.end < stop {
		cycles += f.step * (f.end - t)
		t = f.end
		f.nextRun()
	}
	return cycles + f.step*(stop-t)
}
