// Package rtty receives radioteletype: start-stop telegraphy (ITU-T S.1, S.3) keyed between two tones. It also has the
// codes and timings.
//
//	text → Encoder → Code → elements on the air → Code → Printer → text
//
//	samples → fsk.Front (crashes weighed) ┬→ fsk.Spectrum → search ─┐ pairs of tones, rates and kinds, tried
//	                                      └→ channel: fsk.Channel ──┴→ trellis → speller → Char
//
// A Decoder keeps the last seconds of the wide baseband, so that what was sent before a signal was recognised is printed
// too. What two tones have in common whatever their code is package fsk's: filters, levels, tuning. A channel finds characters in
// that by the most likely course of starts and stops (trellis), some characters late; the speller decides on
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
