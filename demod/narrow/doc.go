// Package narrow finds signals of some Hz in a band of some kHz, as Morse and phase telegraphy are: many of them beside each other.
//
//	complex samples of the band, [Rate] a second → Spectrum: mean power, and the noise around each line → Peaks
//
// What a peak is, the mode says that looks for it.
package narrow
