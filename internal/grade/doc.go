// Package grade measures how good the decoders are: it makes a message, spoils it, decodes it and scores the
// result against what was sent, beside what a textbook receiver makes of the same audio.
//
//	FaxTrial: picture → samples → fax.Decoder → chart ─┐
//	               │       └→ Textbook → picture ──────┼→ Fidelity, PSNR, Strays, Misread → FaxResult
//	               └───────────────────────────────────┘
//	FaxGrades: many trials with random errors, on all cores → FaxGrade each → FaxRow of those alike
//
// Everything is a function of its seed. SNR is signal power over the power of the noise in 2500 Hz, in dB.
package grade
