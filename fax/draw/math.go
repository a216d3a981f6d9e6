package draw

import "math"

// circular brings d into [-n/2, n/2).
func circular(d, n float64) float64 { return d - n*math.Floor(d/n+0.5) }

// peakOffset is where the parabola through the peak at i and its neighbours has its top, from i.
func peakOffset(v []float64, i int) float64 {
	if i == 0 || i == len(v)-1 {
		return 0
	}
	a, b, c := v[i-1], v[i], v[i+1]
	if d := a - 2*b + c; d < 0 {
		return (a - c) / (2 * d)
	}
	return 0
}
