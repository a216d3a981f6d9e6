// Package cw has the Morse code and its timing (ITU-R M.1677-1).
//
//	text → Encode → Symbol, with its Pattern → lengths by Timing → a key
//	dots and dashes → Pattern.Add → Lookup → Symbol → Text
//
// Terms. An element is a dot or a dash; a Pattern is the elements of one character. A procedure signal (prosign) is
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
