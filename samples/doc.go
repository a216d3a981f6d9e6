// Package samples makes test signals, and spoils them as the way to a receiver does.
//
//	picture → Fax ─→ ClockError ─→ Noise ─→ Skip, Limit, Concat ─→ a decoder
//
// Every stage is a [demod.SampleReader] that pulls from the one before it, computes block by block in constant
// memory, and gives the same samples whatever the lengths of the reads. Everything is a function of its
// configuration and seed. Samples are not clipped: a signal with noise may leave [-1, 1].
//
// Signal-to-noise ratio (SNR) is mean signal power over the power of the noise in 2500 Hz, in dB.
package samples
