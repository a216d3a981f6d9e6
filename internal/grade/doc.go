// Package grade measures how good the decoders are: it makes a message, spoils it, decodes it and scores the
// result against what was sent, beside what a textbook receiver makes of the same audio or what theory allows.
//
//	FaxTrial: picture → samples → fax.Decoder → chart ─┐
//	               │       └→ Textbook → picture ──────┼→ Fidelity, PSNR, SSIM, Strays, Misread → FaxResult
//	               └───────────────────────────────────┘
//	FaxGrades: many trials with random errors, on all cores → FaxGrade each → FaxRow of those alike → FaxPlot
//
//	TextMode: message → audio → channel, noise → decoder → characters ─┐
//	              └────────────────────────────────────────────────────┴→ align → TextGrade
//	TextGrades: many messages, on all cores → TextGrade each → TextRow of those alike → TextPlot beside theory
//
// A mode that sends text is one TextMode, an adapter to its generator and its decoder. plan.go has what all plans
// share, work.go the cores, interval.go the confidence intervals, plot.go how a plot looks.
//
// Everything is a function of its seed. SNR is signal power over the power of the noise in 2500 Hz, in dB.
package grade
