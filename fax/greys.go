package fax

import "image"

// smoothGreys restores a picture with greys, in which the noise of the rows has at most the variances most: each
// pixel moves toward the mean of its neighbourhood by as much
// as the local variance is noise (local linear minimum mean square error; Lee, IEEE Trans. Pattern Analysis
// and Machine Intelligence 2, 1980, p. 165). An even area is smoothed, an edge stays.
func smoothGreys(m *image.Gray, most []float32) {
	const reach = 1 // columns and rows to each side
	w, h := m.Rect.Dx(), m.Rect.Dy()
	if w <= 2*reach || h <= 2*reach {
		return
	}
	// Three rows as they were: those above are already changed in m.
	above, self := make([]uint8, w), make([]uint8, w)
	copy(self, m.Pix[:w])
	copy(above, self)
	for row := range h {
		below := self
		if row+1 < h {
			below = m.Pix[(row+1)*m.Stride:][:w]
		}
		dst := m.Pix[row*m.Stride:][:w]
		noise := min(rowNoise(above, self, below), most[row])
		for i := 1; i < w-1; i++ {
			var sum, square float32
			for _, r := range [...][]uint8{above, self, below} {
				for _, v := range r[i-1 : i+2] {
					f := float32(v)
					sum += f
					square += f * f
				}
			}
			mean := sum / 9
			variance := square/9 - mean*mean
			keep := float32(0)
			if variance > noise {
				keep = (variance - noise) / variance
			}
			dst[i] = uint8(mean + keep*(float32(self[i])-mean) + 0.5)
		}
		above, self = self, above
		if row+1 < h {
			copy(self, m.Pix[(row+1)*m.Stride:][:w])
		}
	}
}

// rowNoise estimates the variance of the noise in a row from the second difference down the columns, which is
// noise where the picture is even, and fine detail elsewhere: the median of its size is 0.6745·√6 standard deviations of Gaussian noise.
func rowNoise(above, self, below []uint8) float32 {
	var histogram [1024]int
	for i, s := range self {
		d := int(above[i]) - 2*int(s) + int(below[i])
		histogram[max(d, -d)]++
	}
	left := len(self) / 2
	for d, n := range histogram {
		if left -= n; left < 0 {
			sigma := (float32(d) + 0.5) / (0.6745 * 2.449)
			return max(sigma*sigma-0.5, 0)
		}
	}
	return 0
}
