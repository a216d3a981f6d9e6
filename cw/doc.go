// Package cw has the Morse code and its timing (ITU-R M.1677-1), and a decoder of any number of signals.
//
//	text → Encode → Symbol, with its Pattern → lengths by Timing → a key
//	dots and dashes → Pattern.Add → Lookup → Symbol → Text
//
// The decoder, in the order in which samples go:
//
//	samples                        decoder.go
//	   │ demod.Baseband
//	band, 4 kHz complex            band.go: finds signals, each of which gets a track
//	   ├► recent.go                the last 16 s, so that a signal is copied from its beginning
//	   ├► peaks.go                 where something sounds, by demod/narrow
//	   │
//	track.go                       one signal from its first peak until it is lost
//	   │ search.go                 looks for its pitch and speed
//	   │ tuned.go, channel.go      its pitch followed; 500 Hz complex
//	   │ series.go                 sums, so that the sum over any mark is one difference
//	   │
//	   │ Is it Morse, and how fast?
//	   ├► glance.go, bank.go       the speed, if marks and gaps have one at all
//	   ├► tones.go                 whether other tones sound together with it
//	   ├► budget.go, rejections.go how much may be tried, and where no more
//	   │
//	   │ Copying, once the speed is known
//	copier.go                      decides some characters late
//	   │ grid.go, lengths.go       the signal in steps, and the lengths that are expected
//	   │ elements.go, level.go     the most probable marks and gaps, through fading by their level
//	   │ carrier.go, coherence.go  or by their complex amplitude
//	   │ trellis.go, texts.go      the most probable text
//	   │ path.go, posterior.go     its characters, and how sure each is
//	   │ learn.go                  how the sender keys: marks.go, sender.go, gaps.go;
//	   │                           and what is expected: expectation.go, words.go, signs.go, language.go
//	   │
//	   │ Telling text from what only copies like it
//	print.go                       prints once there is enough evidence
//	   │ probation.go              holds back the first characters
//	   │ evidence.go, conduct.go   evidence by the characters and by their marks
//	   │ output.go
//	Char, State
//
// Each stage calls those before it, not those after; tracks share what common.go has. Nothing is decided before a character
// is: a mark of length L with sum S weighs ln I0(2a|S|/n) - a²L/n over noise of variance n (level.go), a gap nothing, and each
// length has its probability by what is known of the sender.
//
// A fade that passes through zero within a mark looks like a gap to the envelope. So in fading the amplitude is predicted as
// a complex number from mark to mark, each row of marks and gaps by a Kalman filter of its own (carrier.go): where the
// signal must be near zero, a mark and a gap are equally likely. How fast it swings, and whether the phase can be predicted
// at all, is found from the marks that were received (coherence.go).
//
// With Config.PlainLanguage each character is expected by the two before it, as in English (language.go, from plain.txt),
// mixed with what is usual in groups (expectation.go). The trellis then keeps several texts at each step whose last
// characters differ, so that what follows helps to decide what came before; otherwise one (texts.go).
//
// Constants. "Own choice" marks one without a derivation or source. What these are judged by is grade cw, without and with
// fading, and the tests of noise, speech, music and teleprinters (false_test.go).
//
// Terms. A mark is the key held down, a gap is between two. A base sample is one of 500 a second of a signal, a step one
// of the grid, an eighth of a dot, on which its trellis runs. Metrics are natural logarithms of likelihoods over that
// of noise alone. An element is a dot or a dash; a Pattern is the elements of one character. A procedure signal (prosign) is
// letters run together without the gap between characters. Lengths are counted in dots:
//
//	dash 3 · gap in a character 1 · gap between characters 3 · gap between words 7
//
// WPM is words a minute, a word being PARIS with the space after it: 50 dots.
//
// Notation of text. A character stands for itself, a space or other white space for a gap between words. A procedure
// signal is written in angle brackets, and its letters bear an overline (U+0305): <A̅S̅>. Encode takes it without
// overlines too, <AS>, and any other letters and figures run together in this manner, such as <QRS>.
//
// Several names may share a pattern: the code cannot tell + from <A̅R̅>. There is one Symbol for a pattern, and its Text
// is the character of M.1677-1 if there is one, then its procedure signal, then common practice. So Encode("<AR>") is
// the symbol "+", which is what a receiver prints.
package cw
