// Package fsk receives two tones that are keyed in turn (frequency-shift keying, F1B): what all codes have in common that are sent
// so. A mode adds where its elements begin and what they mean.
//
//	samples → Front (wide baseband, crashes weighed) ┬→ Spectrum: Peaks, of which two may be a pair
//	                                                 └→ Channel: tones → Levels: likelihoods of elements
//
// A Channel has matched filters of one element's length for both tones, on a grid of [PerElement] points an element, follows their
// frequencies, and weighs each tone by its own level and noise, since they fade apart.
//
// Times are told in wide samples, [WideRate] a second, and in grid points; power is |z|² of the wide baseband.
package fsk
