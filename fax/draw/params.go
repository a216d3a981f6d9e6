package draw

import "math"

// Sub-carrier of HF radiofax in the audio, and its deviation: black is the lower frequency, white the higher one
// (Australian Bureau of Meteorology broadcast notes).
const (
	CentreHz    = 1900.0
	DeviationHz = 400.0 // HF: black 1500 Hz, white 2300 Hz
)

// Shares of a line.
const (
	PulseShare      = 0.05  // white part of the phasing line (ISO 9876:2015 3.8)
	DeadSectorShare = 0.045 // white, ± 0.005 (WMO-No. 386 part III-5 from memory)
)

// Columns is the number of square picture elements in a line, π·ioc rounded: 1810 for 576, 905 for 288
// (index of cooperation: line length times line density over π; WMO-No. 386 part III-5 from memory).
func Columns(ioc int) int { return int(math.Round(math.Pi * float64(ioc))) }

// VideoRate is the rate of the complex baseband in Hz. At 120 lines a minute and IOC 576 a pixel lasts
// 1/3619 s, so this is about one sample a pixel; it carries ±1400 Hz untouched, which holds the two nearest
// sidebands of the finest strokes. The control tones divide it: 12, 8 and 16/3 samples a cycle.
const VideoRate = 3600.0

// PassHz and StopHz bound the filter that video has been through: aliases of the stop band fall outside the pass band.
const (
	PassHz = 1400.0
	StopHz = VideoRate - PassHz
)

// LongestSeconds is the length limit of a chart: memory is bounded.
const LongestSeconds = 3600

// maxClockPPM is the largest receiver clock error that is searched for.
const maxClockPPM = 500.0
