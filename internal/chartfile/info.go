package chartfile

import (
	"encoding/hex"
	"fmt"
	"image"
	"math"
	"time"

	"ionoscribe/fax"
)

// Info is what is told about a chart in its files.
type Info struct {
	Title               string    `json:"title,omitempty"`  // of the broadcast, as a programme has it
	Start               time.Time `json:"start"`            // UTC, when its first line began
	End                 time.Time `json:"end"`              // UTC, when its last line ended
	TimeFrom            string    `json:"time_from"`        // how the time of the recording is known
	Source              string    `json:"source,omitempty"` // what it was received from
	Hz                  float64   `json:"hz,omitempty"`     // of the middle between black and white on the air; 0: not known
	IOC                 int       `json:"ioc"`
	LPM                 float64   `json:"lines_per_minute"`
	Lines               int       `json:"lines"`
	ClockPPM            float64   `json:"clock_error_ppm"` // of the receiver's sample clock against the line rate
	TuningHz            float64   `json:"tuning_hz"`       // middle between black and white less fax.CentreHz
	SNR                 float64   `json:"snr_db"`          // mean, noise taken in 2500 Hz
	Began               string    `json:"began"`
	Ended               string    `json:"ended"`
	PhaseMeasured       bool      `json:"line_start_measured"`
	LineStartConfidence float64   `json:"line_start_confidence"` // probability that it is right within 3 pixels of 1810
	SlantMeasured       bool      `json:"slant_measured"`
	TwoLevel            bool      `json:"two_level"`         // black and white without greys
	EchoMS              float64   `json:"echo_ms"`           // by which a second path was late, ms; 0: there was none
	Differs             string    `json:"differs,omitempty"` // where the copies it was drawn from show something else
	Quality             Quality   `json:"quality"`
}

// Quality is that of each line in [0,1]. As text it is two hexadecimal digits a line, ff being 1.
type Quality []float32

// Mean is 0 if there is no line.
func (q Quality) Mean() float64 {
	sum := 0.0
	for _, x := range q {
		sum += float64(x)
	}
	return sum / float64(max(1, len(q)))
}

// MarshalText implements encoding.TextMarshaler; it cannot fail.
func (q Quality) MarshalText() ([]byte, error) {
	b := make([]byte, len(q))
	for i, x := range q {
		if x > 0 { // and not NaN
			b[i] = byte(min(x, 1)*255 + 0.5)
		}
	}
	return hex.AppendEncode(nil, b), nil
}

// UnmarshalText implements encoding.TextUnmarshaler.
func (q *Quality) UnmarshalText(text []byte) error {
	b, err := hex.DecodeString(string(text))
	if err != nil {
		return fmt.Errorf("quality of the lines: %w", err)
	}
	*q = make(Quality, len(b))
	for i, x := range b {
		(*q)[i] = float32(x) / 255
	}
	return nil
}

// Chart is a chart with all that is kept of it.
type Chart struct {
	Info
	Drawing fax.Drawing
	Image   *image.Gray
	Video   *fax.Video // nil: not kept
	// File is the name of its files without suffix; "" is Name. Again says that its source can be read again, and gives the
	// same chart: then that takes the place of this one.
	File  string
	Again bool
}

// New describes a received chart. timeOf gives the instant of a sample of the recording, and from says how that is
// known. Image and video are shared, not copied.
func New(c *fax.Chart, timeOf func(sample int64) time.Time, from string) *Chart {
	at := func(i int64) time.Time { return timeOf(i).UTC().Truncate(time.Millisecond) }
	return &Chart{
		Info: Info{
			Start: at(c.Start), End: at(c.End), TimeFrom: from,
			IOC: c.IOC, LPM: c.LPM, Lines: c.Rows,
			ClockPPM: hundredths(c.ClockPPM), TuningHz: hundredths(c.OffsetHz), SNR: hundredths(c.SNR),
			Began: string(c.Began), Ended: string(c.Ended),
			PhaseMeasured: c.PhaseMeasured, LineStartConfidence: hundredths(c.LineStartConfidence), SlantMeasured: c.SlantMeasured, TwoLevel: c.TwoLevel, EchoMS: hundredths(c.EchoDelay / fax.VideoRate * 1000),
			Quality: c.Quality,
		},
		Drawing: c.Drawing, Image: c.Image, Video: c.Video,
	}
}

// finite makes 0 of what JSON cannot hold.
func finite(x float64) float64 {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return 0
	}
	return x
}

// hundredths are as fine as any of these is known.
func hundredths(x float64) float64 { return math.Round(finite(x)*100) / 100 }

// Name is the file name of a chart without suffix; names sort by time.
func (i Info) Name() string {
	return fmt.Sprintf("%s-%.0f-%d", i.Start.UTC().Format("20060102T150405Z"), i.LPM, i.IOC)
}
