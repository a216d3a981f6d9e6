package draw

import "image"

// Chart is one received chart. It belongs to whoever receives it.
type Chart struct {
	Drawing             // how it was drawn
	Image   *image.Gray // Columns wide, one row a line; 255 is white
	Quality []float32   // of each row, in [0,1]: 1 clean, below 0.2 hardly readable
	Video   *Video      // what it was drawn from

	SampleRate float64 // Hz, of the indices below
	Start, End int64   // sample indices where the first row begins and the last one ends
	IOC        int     // 576 or 288
	LPM        float64 // lines a minute
	ClockPPM   float64 // error of the receiver's sample clock against the line rate, ppm
	// ClockDeviationPPM is the standard deviation of ClockPPM, as far as the chart itself tells it.
	ClockDeviationPPM float64

	SNR float64 // mean over the rows in dB, noise taken in 2500 Hz

	Began               Began
	Ended               Ended
	PhaseMeasured       bool    // the line start was measured from phasing, not estimated from the picture or ordered
	LineStartConfidence float64 // how probable it is that the line start is right within 3 pixels of 1810: 1 if it was measured
	SlantMeasured       bool    // the clock error was measured (phasing or picture); otherwise it is unknown and taken as zero or ordered
	TwoLevel            bool    // the picture was found to be black and white only, without greys

	sideband float64 // log-likelihood ratio of Drawing.Inverted being false, in nats (see polarity.go)
	clock    clock   // what is known of the line clock
}

// Began says how the beginning of a chart was known.
type Began string

// Ended says how the end of a chart was known.
type Ended string

// The ways in which a chart begins and ends.
const (
	BeganStartTone Began = "start tone"
	BeganPhasing   Began = "phasing"         // the start tone was not heard
	BeganJoined    Began = "joined late"     // neither: from the first line heard
	EndedStopTone  Ended = "stop tone"       //
	EndedStartTone Ended = "next start tone" // the stop tone was not heard
	EndedLost      Ended = "signal lost"
	EndedInput     Ended = "end of input"
	EndedLength    Ended = "length limit"
)

// Drawing is all that it takes to draw a chart from its video. To draw a chart again, change a copy of its
// Drawing and call Draw.
type Drawing struct {
	Origin      float64 // video index at which row 0 starts
	Period      float64 // video samples a line
	Columns     int     // pixels a line
	Rows        int
	OffsetHz    float64 // of the middle between black and white from CentreHz
	DeviationHz float64 // of white from the middle
	Inverted    bool    // white is the lower frequency
	Black       float64 // brightness that is drawn as 0, in [0,1]: normally 0
	White       float64 // brightness that is drawn as 255: normally 1
	Plain       bool    // no restoration
	EchoDelay   float64 // video samples by which a second path is late; 0: there is none
}
