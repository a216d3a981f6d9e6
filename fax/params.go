package fax

import "math"

// Sub-carrier of HF radiofax in the audio, and its deviations: black is the lower frequency, white the
// higher one (Australian Bureau of Meteorology broadcast notes; CCIR Rec. 343-1 from memory, also for LF).
const (
	CentreHz      = 1900.0
	DeviationHz   = 400.0 // HF: black 1500 Hz, white 2300 Hz
	DeviationLFHz = 150.0
)

// Control tones: rates at which the video alternates between black and white.
const (
	StartHz576 = 300.0 // selects IOC 576, 5 to 10 s (ISO 9876:2015 3.5)
	StartHz288 = 675.0 // selects IOC 288, 5 to 10 s (ISO 9876:2015 3.5)
	StopHz     = 450.0 // 5 s, then 10 s of black (WMO-No. 386 part III-5 from memory)
)

// Shares of a line.
const (
	PulseShare      = 0.05  // white part of the phasing line (ISO 9876:2015 3.8)
	DeadSectorShare = 0.045 // white, ± 0.005 (WMO-No. 386 part III-5 from memory)
)

// LineRates are the line speeds in lines per minute: 60, 90, 120 by ISO 9876:2015 3.8, 240 by WMO-No. 386
// (from memory).
var LineRates = []float64{60, 90, 120, 240}

// Columns is the number of square picture elements in a line, π·ioc rounded: 1810 for 576, 905 for 288
// (index of cooperation: line length times line density over π; WMO-No. 386 part III-5 from memory).
func Columns(ioc int) int { return int(math.Round(math.Pi * float64(ioc))) }

// VideoRate is the rate of the complex baseband in Hz. At 120 lines a minute and IOC 576 a pixel lasts
// 1/3619 s, so this is about one sample a pixel; it carries ±1400 Hz untouched, which holds the two nearest
// sidebands of the finest strokes. The control tones divide it: 12, 8 and 16/3 samples a cycle.
const VideoRate = 3600.0

// passHz and stopHz bound the front end's filter: aliases of the stop band fall outside the pass band.
const (
	passHz = 1400.0
	stopHz = VideoRate - passHz
)

// maxClockPPM is the largest receiver clock error that is searched for.
const maxClockPPM = 500.0
