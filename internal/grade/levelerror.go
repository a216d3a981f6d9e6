package grade

import (
	"image"
	"math"
)

// levelError is the greatest error of the mean of a grey level from 16 to 239 (in steps of 16) within r, of
// pixels whose neighbours were sent within 12 levels of them.
func levelError(sent, got *image.Gray, r image.Rectangle) (worst float64, level int) {
	var sum, n [16]float64
	r = r.Inset(2)
	for y := r.Min.Y; y < r.Max.Y; y++ {
		for x := r.Min.X; x < r.Max.X; x++ {
			v := int(sent.Pix[y*sent.Stride+x])
			even := true
			for dy := -1; dy <= 1; dy++ {
				for dx := -2; dx <= 2; dx++ {
					d := int(sent.Pix[(y+dy)*sent.Stride+x+dx]) - v
					even = even && d >= -12 && d <= 12
				}
			}
			if even {
				sum[v/16] += float64(got.Pix[y*got.Stride+x]) - float64(v)
				n[v/16]++
			}
		}
	}
	for i := 1; i < 15; i++ {
		if n[i] < 200 {
			continue
		}
		if d := sum[i] / n[i]; math.Abs(d) > math.Abs(worst) {
			worst, level = d, 16*i
		}
	}
	return worst, level
}
