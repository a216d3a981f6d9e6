package fax

import "ionoscribe/fax/draw"

// Sub-carrier of HF radiofax in the audio, and its deviations: black is the lower frequency, white the
// higher one (Australian Bureau of Meteorology broadcast notes; CCIR Rec. 343-1 from memory, also for LF).
const (
	CentreHz      = draw.CentreHz
	DeviationHz   = draw.DeviationHz // HF
	DeviationLFHz = 150.0
)

// Control tones: rates at which the video alternates between black and white.
const (
	StartHz576 = 300.0 // selects IOC 576, 5 to 10 s (ISO 9876:2015 3.5)
	StartHz288 = 675.0 // selects IOC 288, 5 to 10 s (ISO 9876:2015 3.5)
	StopHz     = 450.0 // 5 s, then 10 s of black (WMO-No. 386 part III-5 from memory)
)

// Shares of a line, and the rate of video in Hz.
const (
	PulseShare      = draw.PulseShare
	DeadSectorShare = draw.DeadSectorShare
	VideoRate       = draw.VideoRate
)

// LineRates are the line speeds in lines per minute: 60, 90, 120 by ISO 9876:2015 3.8, 240 by WMO-No. 386
// (from memory).
var LineRates = []float64{60, 90, 120, 240}

// Columns is the number of pixels in a line: see draw.Columns.
func Columns(ioc int) int { return draw.Columns(ioc) }
