// Package demod is the signal processing that all modes share. It knows no mode.
//
//	real samples at any rate
//	      │ Baseband: band-pass, mix to 0 Hz, resample; one polyphase stage (bank: its taps)
//	      ▼
//	complex samples at a low rate ──► ComplexFIR, Oscillator: filter further, mix again
//	      │ Phase: angles; MomentSNR: power of a steady signal and of the noise
//	      ▼
//	video, soft values: the mode's own business
//
//	complex samples of a wide band (IQReader)
//	      │ Tuner: a single-sideband receiver; several stages, because the band is wide and the filter sharp
//	      ▼
//	real samples at 12 kHz, for any of the above
//
// Terms: a rate is in samples per second; the baseband is the analytic signal around a centre frequency, so a
// cosine of amplitude A is a phasor of length A and of power |z|² = A², twice the power of the cosine. Noise
// of density N0 (one-sided, W/Hz) at the input has density 2·N0 in the baseband, so the ratio
// signal/noise density is the same before and after.
//
// Filters are Kaiser designs (Lowpass). Phase is a fast arctangent. SampleReader is
// where samples come from, and Rate turns sample indices into time.
//
// Nothing here starts a goroutine, keeps a caller's slice or allocates once warm. An object serves one
// goroutine at a time; the tables behind Basebands are shared and never written.
package demod
