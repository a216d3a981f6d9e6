package live

import (
	"encoding/binary"
	"math"
	"time"
)

// Binary messages begin with 16 bytes, little-endian.
//
//	row of a spectrum   1 | number of the receiver | bins, 2 bytes | number of the row, 4 | UTC in ms since 1970, 8 as float64 | a byte a bin
//	line of a chart     2 | 0                      | width, 2      | row, 4               | transmission, 8 as float64         | a byte a pixel
const (
	rowOfSpectrum = 1
	lineOfChart   = 2
	headBytes     = 16
)

// A bin's byte is 2·(dB + leastDB): half a decibel a step, from -140 dB, below the noise of any converter in a bin.
const (
	leastDB = 140.0
	stepsDB = 2.0
)

func newRow(kind byte, width int, row uint32, value float64) []byte {
	b := make([]byte, headBytes, headBytes+width)
	b[0] = kind
	binary.LittleEndian.PutUint16(b[2:], uint16(width))
	binary.LittleEndian.PutUint32(b[4:], row)
	binary.LittleEndian.PutUint64(b[8:], math.Float64bits(value))
	return b
}

// spectrumRow makes the message of a row, but for the receiver's number; power is over that of a full-scale sine.
func spectrumRow(row uint32, at time.Time, power []float64) []byte {
	b := newRow(rowOfSpectrum, len(power), row, float64(at.UnixMilli()))
	for _, p := range power {
		v := math.Round(stepsDB * (10*math.Log10(p+1e-30) + leastDB))
		b = append(b, byte(min(max(v, 0), 255)))
	}
	return b
}

// chartLine makes the message of a line.
func chartLine(transmission int64, row int, pixels []byte) []byte {
	return append(newRow(lineOfChart, len(pixels), uint32(row), float64(transmission)), pixels...)
}
