package draw

// Heard is what was heard of a chart while it was received, beside its video.
type Heard struct {
	From, To   int64   // video indices where it begins and ends
	After      int64   // video index from which what follows its stop tone was heard, to the end of the video; 0: no stop tone was
	SampleRate float64 // Hz, of the audio
	IOC        int     // 576 or 288
	LPM        float64 // lines a minute
	Began      Began
	Ended      Ended // "": it has not, and goes on
}

// Sideband says on which side of the carrier the signal lies.
type Sideband int

// Upper is the normal one: black is the lower frequency.
const (
	Either Sideband = iota // find out
	Upper
	Lower
)

// Orders are what the user orders of drawings.
type Orders struct {
	CentreHz    float64  // middle between black and white in the audio; zero: found within 160 Hz of the usual one
	DeviationHz float64  // of white from the middle; required
	Sideband    Sideband // zero: found
	LineStart   float64  // where the line begins after the middle of the pulse, in lines (-1 to 1)
	Plain       bool     // draw without restoration
	Doubtful    bool     // deliver charts too that may be none: see Chart.doubtful
}
