// Package rtty receives radioteletype: start-stop telegraphy (ITU-T S.1, S.3) keyed between two tones. It also has the
// codes and timings.
//
//	text → Encoder → Code → elements on the air → Code → Printer → text
//
//	samples → front (wide baseband, crashes weighed) ┬→ spectrum → search ─┐ pairs of tones, rates and kinds, tried
//	                                                 └→ channel: tones ────┴→ levels → trellis → speller → Char
//
// A Decoder keeps the last seconds of the wide baseband, so that what was sent before a signal was recognised is printed
// too. A channel has matched filters for mark and space (tones), weighs each by its own level and noise (levels), and
// finds characters by the most likely course of starts and stops (trellis), some characters late; the speller decides on
// letters and figures with what follows in view. The rate is measured by the edges of characters (rate).
//
// Terms. An element is the unit of time, 1/baud seconds. Mark is the state Z, 1: idle and stop; space is A, 0: start.
// A character on the air is a start element, the units of its Code from bit 0 upwards, and a stop element of one to
// two elements' length, which lasts on until the next start:
//
//	mark ──┐     ┌────┬────┬────┬────┬────┬───────── ─ ─
//	space  └─────┴────┴────┴────┴────┴────┘
//	        start  1    2    3    4    5    stop, idle
//
// A Shift says whether an ITA2 code stands for a letter or a figure; it lasts until the next shift code.
package rtty
