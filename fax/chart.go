package fax

import "ionoscribe/fax/draw"

// A decoder delivers charts as package draw makes them; draw has the functions that draw one again, and that read its video.
type (
	Chart    = draw.Chart
	Drawing  = draw.Drawing
	Video    = draw.Video
	Sideband = draw.Sideband
	Began    = draw.Began
	Ended    = draw.Ended
)

// The sidebands that can be ordered.
const (
	Either = draw.Either
	Upper  = draw.Upper
	Lower  = draw.Lower
)

// The ways in which a chart begins and ends.
const (
	BeganStartTone = draw.BeganStartTone
	BeganPhasing   = draw.BeganPhasing
	BeganJoined    = draw.BeganJoined
	EndedStopTone  = draw.EndedStopTone
	EndedStartTone = draw.EndedStartTone
	EndedLost      = draw.EndedLost
	EndedInput     = draw.EndedInput
	EndedLength    = draw.EndedLength
)

// LeastSure is the least Chart.LineStartConfidence with which a line start is called found.
const LeastSure = draw.LeastSure
