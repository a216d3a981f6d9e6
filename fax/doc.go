// Package fax receives radiofax: weather charts sent line by line as frequency modulation of a sub-carrier
// (emission class F3C; ISO 9876:2015, WMO-No. 386 part III-5, CCIR Rec. 343-1).
//
//	samples → baseband → video ┬→ control tones ─┐
//	                           └→ line agreement ┴→ from where to where is a chart
//	video of a chart → line rate → phasing → line clock → line start → tuning → pixels → trellis → rows
//	         └─ less neighbours ─┘                                      └→ echo? → survivors, joined ─┘
//
// A Decoder does the upper line while it listens. It keeps the video of the chart (complex baseband samples
// at VideoRate, one byte a component) and, when the chart ends, does the lower line over the whole of it,
// because slant and tuning are known best from the whole chart. Each arrow is a file.
//
// Terms. Video is the complex baseband signal around the sub-carrier; its instantaneous frequency is the
// brightness. A pixel is one picture element, 1/round(π·IOC) of a line. A step is the time unit of the
// trellis: a pixel or a whole fraction or multiple of one. The clock error is that of the receiver's sample
// clock against the sender's line rate, in ppm: positive if a line takes more samples than it should.
// The line start is the middle of the phasing pulse (common practice), which is the middle of the dead
// sector, the white strip where the paper's ends meet. Times are video or sample indices from the first
// sample written.
package fax
