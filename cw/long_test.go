//go:build long

package cw_test

import "testing"

// Tests of a few seconds of a processor each; "go test -tags long -run Long ./cw" runs them.

func TestLongNothingFromMusic(t *testing.T) {
	nothingFromMusic(t, "band", 1)
	nothingFromMusic(t, "bells", 20)
}
