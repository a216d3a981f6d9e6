package draw

import (
	"math"

	"ionoscribe/demod"
)

// circular brings d into [-n/2, n/2).
func circular(d, n float64) float64 { return d - n*math.Floor(d/n+0.5) }

// peakOffset is where the peak at i is between v and its neighbours, from i; 0 at an end.
func peakOffset(v []float64, i int) float64 {
	if i == 0 || i == len(v)-1 {
		return 0
	}
	return demod.Vertex(v[i-1], v[i], v[i+1])
}
