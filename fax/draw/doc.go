// Package draw draws radiofax charts from their video, the complex baseband signal around the sub-carrier. It does not
// listen: package fax says from where to where in the video a chart is.
//
//	Video, Heard ─ Sender.Draw ─┬→ line rate → phasing → line clock → line start → tuning ─→ Drawing
//	                            └→ less neighbours, echo? ←→ joined at the lines ──────────┘    │
//	Video, Drawing ─ Draw ─→ pixels ┬→ trellis or survivors ─┬→ rows → Image ←──────────────────┘
//	                                └→ greys, soft edges ────┘
//
// Combine draws one chart of several videos of it.
//
// All of it works on the whole of the kept video, one byte a component at VideoRate. Draw and Track draw a chart again from its
// video and a changed Drawing.
//
// The order of files; each uses those before it:
//
//	what goes in      math, params, video, blocks, video_io, chart, heard
//	the lines         spectra, grid, fold, clock, tune, trellis, lean, pixels
//	phasing           phasing, phasingclock, polarity
//	a page joined     pageview, lay, seamfeatures, seamplaces, carried, seam
//	measured          measure
//	one path or two   survivors, gainfit, residual, neighbour, echo, findecho, align
//	rows              greys, response, deconvolve, sharp, kind, restore, drawsoft, draw
//	a chart           finish, sender, track
//	of several        cells, match, jointtrellis, combine
//
// Terms. The instantaneous frequency of video is the brightness. A pixel is one picture element, 1/round(π·IOC) of a line.
// A step is the time unit of the trellis: a pixel or a whole fraction or multiple of one. The clock error is that of the
// receiver's sample clock against the sender's line rate, in ppm: positive if a line takes more samples than it should.
// The line start is the middle of the phasing pulse (common practice), which is the middle of the dead sector, the white
// strip where the paper's ends meet.
package draw
