// Package theory computes what a receiver reaches that knows everything but the message: pitch, level, noise, speed
// and timing to perfection. The error rates measured by package grade are drawn beside these curves.
//
//	FSK:   Eb/N0 → bit error → character error, by formula and, in fading, by quadrature
//	Morse: groups → key on the dot grid → matched filters in noise → tree and Viterbi → edit distance
//	                                                                 → morse.csv → Curve
//	PSK31: text → bits → symbols, some wrong by noise and fading → bits → characters → edit distance → Curve
//	mode B: characters → envelopes of both sendings → the likeliest of 35 patterns → modeb.csv → Curve
//
// SNR is signal power (key-down power for Morse) over the power of the noise in 2500 Hz, in dB. Eb/N0 and Ed/N0 are
// ratios, not dB: energy of one teleprinter element, or of one dot, over the one-sided density of the noise.
// A character error rate (CER) is edit distance over length.
package theory
