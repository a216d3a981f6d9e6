// Package soundring keeps the last hours of a receiver's sound, as FLAC files (RFC 9639) of a minute each.
//
//	blocks ─ Write ─► queue ─► goroutine of the Ring ─► sound/RECEIVER/2026/11/27/120300.flac
//	sound/RECEIVER ─ Read ─► Span: samples with the UTC of the first
//
// A piece has the UTC of its first sample in its name, to the second, and in a tag, to the microsecond. It begins with a
// minute of UTC, or where samples were lost. It is written a second at a time into a file .flac.part and renamed when it is
// complete: of what a killed program left, the next Open keeps all whole frames.
package soundring
