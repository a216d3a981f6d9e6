// Package samples makes test signals, and spoils them as the way to a receiver does.
//
//	 picture → Fax ┐
//	    text → RTTY┤   on the way                                   in the receiver
//	    text → CW ─┴─→ Tuning → Fading → Mix → Static → Noise ─Mix→ Bandpass → AGC → Clip → ClockError → Drop → decoder
//	                                      ↑    Crashes          ↑
//	other signals, Carrier, Speech ───────┘                Hum ─┘
//
// Path names the stages that a test wants and puts them together; Skip, Limit and Concat cut and join signals before
// or after it.
//
// Every stage is a [demod.SampleReader] that pulls from the one before it, computes block by block in constant
// memory, and gives the same samples whatever the lengths of the reads. Everything is a function of its
// configuration and seed. Samples are not clipped, unless by Clip: a signal with noise may leave [-1, 1].
//
// Signal-to-noise ratio (SNR) is mean signal power over the power of the noise in 2500 Hz, in dB.
package samples
