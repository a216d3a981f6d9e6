// Package psk receives 31 Bd phase telegraphy (ITU-R M.2034): a carrier that is reversed for a 0 and goes on for a 1, 31.25 times a
// second, in a code of characters of one to ten bits. It also has the code.
//
//	text → Encode → bits → carrier with reversals → Decoder → Char
//
//	samples → baseband, 0 to 4 kHz ┬→ finder: where narrow signals are
//	                               └→ receiver of each: matched filter → timing → phases (trellis) → bits → speller → Char
//
// Terms. A symbol lasts 32 ms; at its centre the amplitude is full. From centre to centre amplitude and sign follow a cosine: a
// symbol's pulse is (1+cos πt/T)/2 from -T to T, and neighbouring pulses overlap.
//
// The program does not use it yet: machine Morse, whose keying reverses what a narrow filter hears, is printed, some of many signals
// 40 Hz apart are missed, and what is sent with four phases is not received.
package psk

// Baud is the rate (ITU-R M.2034, from memory).
const Baud = 31.25
