package demod

import "math"

// Hann is value i of a Hann window of n: 0.5 - 0.5·cos(2π(i+½)/n). Its values are those in the middles of n parts of the period, so
// that none of them is 0 (those of go-dsp begin and end with 0) and windows that overlap by half add up to 1.
func Hann(i, n int) float64 { return 0.5 - 0.5*math.Cos(2*math.Pi*(float64(i)+0.5)/float64(n)) }
