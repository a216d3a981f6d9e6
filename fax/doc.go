// Package fax receives radiofax: weather charts sent line by line as frequency modulation of a sub-carrier
// (emission class F3C; ISO 9876:2015, WMO-No. 386 part III-5, CCIR Rec. 343-1). It listens; package draw draws.
//
//	samples → baseband ┬→ video ───────────────────────────────────────────────────────────┐
//	                   └→ guard ┬→ control tones ──┐                                       ├→ draw.Sender → Chart
//	                            └→ line agreement ─┴→ Decoder: from where to where is a chart ─┘
//
// A Decoder keeps the video of the chart that it hears. When the chart ends, what was heard of it (draw.Heard) and its
// video go to package draw, which measures and draws the whole of it, because slant and tuning are known best from the
// whole chart. Who has no time for that while he listens asks for Undrawn charts.
//
// The order of files; each uses those before it: params, config, settings; agreement, tones, guard, which listen; chart, undrawn,
// arrivingline, arriving, which a decoder gives out; decoder; all, which pulls charts from a source of samples.
//
// A control tone is an alternation of black and white, line agreement the likeness of the video to itself one line later.
// Times are video or sample indices from the first sample written. Package draw explains the other terms.
package fax
