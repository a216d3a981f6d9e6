// Package copydesk copies everything in a passband: it surveys it, and gives each transmission that is found a decoder
// of its own, from its beginning to its end. What comes of that is a stream of events.
//
//	samples → survey ┬→ findings ─────────────→ copies: begun, changed, ended ──────────┐
//	                 └→ ring of the last seconds ─→ each copy: [tuner] → decoder → text ┼→ Stream → listeners
//	                                                                 └→ chart → drawing ┘
//
// A copy begins in the past, where its transmission did: what it has missed it reads from the survey's ring. Audio goes to
// the decoders as it is; of complex samples each copy receives its own tuner, set so that the transmission lies where
// decoders are at their best. Charts are drawn by other goroutines: one with an echo takes as long as forty of its lines.
package copydesk
