package grade

import (
	"image"
	"math"
)

// Parameters of structural similarity (Wang, Bovik, Sheikh and Simoncelli, "Image quality assessment: from error
// visibility to structural similarity", IEEE Trans. Image Processing 13(4), 2004, section III-C): a window of 11 by
// 11 pixels, Gaussian with a standard deviation of 1.5 pixels, and K1 and K2 for a range of 255 levels.
const (
	ssimWindow = 11
	ssimSigma  = 1.5
	ssimC1     = 0.01 * 255 * 0.01 * 255
	ssimC2     = 0.03 * 255 * 0.03 * 255
)

// ssimTaps is the window, which is the product of a row and a column of these; their sum is 1.
var ssimTaps = func() (taps [ssimWindow]float64) {
	sum := 0.0
	for i := range taps {
		t := float64(i - ssimWindow/2)
		taps[i] = math.Exp(-t * t / (2 * ssimSigma * ssimSigma))
		sum += taps[i]
	}
	for i := range taps {
		taps[i] /= sum
	}
	return taps
}()

// SSIM is the structural similarity of a received picture, shifted by dx to the right and dy down, with the sent
// one: its mean over all windows that lie in what both have. 1 is the same picture; it may be negative, and is 0
// where no window fits. Paper that stayed white counts as similar, so a page with little ink scores high.
func SSIM(sent, got *image.Gray, dx, dy int) float64 {
	sum, windows, rows := 0.0, 0, 0
	// The last rows, filtered along the row: of a, b, a²+b² and ab. The variances are only needed as a sum.
	var ring [ssimWindow][4][]float64
	var raw, at [4][]float64
	var of [ssimWindow][]float64
	overlap(sent, got, dx, dy, func(_, _ int, a, b []uint8) {
		n := len(a) - ssimWindow + 1
		if n <= 0 {
			return
		}
		if raw[0] == nil {
			for k := range raw {
				raw[k], at[k] = make([]float64, len(a)), make([]float64, n)
				for i := range ring {
					ring[i][k] = make([]float64, n)
				}
			}
		}
		for i := range a {
			p, q := float64(a[i]), float64(b[i])
			raw[0][i], raw[1][i], raw[2][i], raw[3][i] = p, q, p*p+q*q, p*q
		}
		newest := &ring[rows%ssimWindow]
		rows++
		for k, x := range raw {
			for j := range of {
				of[j] = x[j:]
			}
			blur(newest[k], &of)
		}
		if rows < ssimWindow {
			return
		}
		for k := range at {
			for j := range of {
				of[j] = ring[(rows+j)%ssimWindow][k]
			}
			blur(at[k], &of)
		}
		windows += n
		for i, ma := range at[0] {
			mb := at[1][i]
			squares, product := ma*ma+mb*mb, ma*mb
			variances, covariance := at[2][i]-squares, at[3][i]-product
			sum += (2*product + ssimC1) * (2*covariance + ssimC2) / ((squares + ssimC1) * (variances + ssimC2))
		}
	})
	if windows == 0 {
		return 0
	}
	return sum / float64(windows)
}

// blur sets dst[i] = Σ ssimTaps[k]·x[k][i], taking together what has the same weight.
func blur(dst []float64, x *[ssimWindow][]float64) {
	n, t := len(dst), &ssimTaps
	a, b, c, d, e, f := x[0][:n], x[1][:n], x[2][:n], x[3][:n], x[4][:n], x[5][:n]
	g, h, i, j, k := x[6][:n], x[7][:n], x[8][:n], x[9][:n], x[10][:n]
	for m := range dst {
		dst[m] = t[0]*(a[m]+k[m]) + t[1]*(b[m]+j[m]) + t[2]*(c[m]+i[m]) + t[3]*(d[m]+h[m]) + t[4]*(e[m]+g[m]) + t[5]*f[m]
	}
}
