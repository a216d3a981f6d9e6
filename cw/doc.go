// Package cw has the Morse code and its timing (ITU-R M.1677-1), and a decoder of any number of signals.
//
//	text → Encode → Symbol, with its Pattern → lengths by Timing → a key
//	dots and dashes → Pattern.Add → Lookup → Symbol → Text
//
// The decoder:
//
//	samples
//	   │ demod.Baseband
//	band, 4 kHz complex ──► spectrum: where something sounds
//	   │ channel: one of these a signal, its pitch followed; 500 Hz complex
//	series: sums, so that the sum over any mark is one difference
//	   │                 └► bank (speed.go): the speed, and whether this is Morse at all
//	elements: the most probable marks and gaps, and with them the level, or carrier, through fading
//	   │ trellis: the most probable text, by the tree of the code, the sender's lengths and words
//	   │ posterior: how sure each character is
//	track: decides some characters late, learns the sender's lengths, sees when the speed changes
//	   │ print: whether it looks like text
//	Char, State
//
// Nothing is decided before a character is: a mark of length L with sum S weighs ln I0(2a|S|/n) - a²L/n over noise of
// variance n (likelihood.go), a gap nothing, and each length has its probability by what is known of the sender. When a
// signal's speed has been found, all that is remembered of it, 16 s, is decoded, so that the beginning is not lost. The
// first characters are held back until they look like text (probation.go).
//
// A fade that passes through zero within a mark looks like a gap to the envelope. So in fading the amplitude is foretold as
// a complex number from mark to mark, each row of marks and gaps by a Kalman filter of its own (carrier.go): where the
// signal must be near zero, a mark and a gap are equally likely. How fast it swings, and whether the phase can be foretold
// at all, is found from the marks that were received (coherence.go).
//
// Whoever orders Config.PlainLanguage has each character expected by the two before it, as English has them (language.go,
// from plain.txt). The trellis then keeps several texts at each step whose last characters differ, so that what follows
// helps to decide what came before (plain.go, plainposterior.go). That is mixed with what is usual in groups, by how well
// either has foretold what was received, and so nothing is ever ruled out.
//
// Terms. A mark is the key held down, a gap is between two. A base sample is one of 500 a second of a signal, a step one
// of the grid of an eighth of a dot on which its trellis runs. Metrics are natural logarithms of likelihoods over that
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
