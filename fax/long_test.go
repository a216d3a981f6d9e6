//go:build long

package fax_test

import (
	"testing"

	"ionoscribe/internal/scenario"
)

// Tests of a few seconds of a processor each; "go test -tags long -run Long ./fax" runs them.

func TestLongPhasingLineStart(t *testing.T) { phasingLineStart(t, 6, 0.06, 0.15, 4) }

func TestLongSeveralCharts(t *testing.T) { severalCharts(t, 0.01, config()) }

func TestLongNothingInMusic(t *testing.T) { nothingInMusic(t, 10) }

func TestLongClockIsCarriedOn(t *testing.T) { clockIsCarriedOn(t, scenario.Upright, scenario.Mixed) }
