// Package psk has the 31 Bd phase telegraphy that ITU-R M.2034 describes: its variable-length alphabet, and the keying of its symbols,
// in two phases (BPSK) or in four with a convolutional code (QPSK).
//
//	text → Charset → bytes → Encode → bits ┬→ BPSK → turns
//	                                       └→ QPSK → turns
//	turns → Viterbi → bits → Unpacker → bytes
//
//	samples → baseband ┬→ demod/narrow: humps of the spectrum → finder: carriers of signals
//	                   └→ channel: symbols, timing, pitch → trellis: gain, bits → speller: bytes → joiner: characters
//	                                                                  → Decoder → Char
//
// Terms. A symbol lasts 32 ms. A turn is the change of phase from one symbol to the next, in quarters of a circle. A byte's code begins
// and ends with 1 and never contains 00, which separates bytes; zeros are sent while there is no text. Bytes are characters of a
// character set on which sender and receiver agree.
//
// A decoder receives one of the two. Of four phases it follows both sidebands, and the bits are those of the one that fits better;
// their code says whether a signal is there at all.
package psk
