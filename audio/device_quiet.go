//go:build cgo && !linux

package audio

// quietly calls f; only Linux has a library that writes to standard error.
func quietly(f func()) { f() }
