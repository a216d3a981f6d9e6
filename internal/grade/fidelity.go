package grade

import (
	"image"
	"math"
)

// Fidelity scores a received picture against the sent one of the same width: F = -10·log10(1-r²) in dB, where r
// is the correlation of their pixels. A blank page scores 0 dB, whatever its share of black; PSNR would reward
// it. Rows and columns beyond either picture do not count. The score ends at 90 dB.
//
// dx and dy are how far the received picture is shifted to the right and down, in whole pixels, at the best
// score; shifts up to reach are tried.
func Fidelity(sent, got *image.Gray, reach int) (db float64, dx, dy int) {
	return fidelityNear(sent, got, 0, reach)
}

// fidelityNear is Fidelity for a picture that is known to be shifted down by about down pixels.
func fidelityNear(sent, got *image.Gray, down, reach int) (db float64, dx, dy int) {
	db = -1
	for y := down - reach; y <= down+reach; y++ {
		for x := -reach; x <= reach; x++ {
			if f := fidelityAt(sent, got, x, y); f > db {
				db, dx, dy = f, x, y
			}
		}
	}
	return db, dx, dy
}

func fidelityAt(sent, got *image.Gray, dx, dy int) float64 {
	var n, sa, sb, saa, sbb, sab float64
	overlap(sent, got, dx, dy, func(_, _ int, a, b []uint8) {
		var ia, ib, iaa, ibb, iab int
		for i, v := range a {
			p, q := int(v), int(b[i])
			ia += p
			ib += q
			iaa += p * p
			ibb += q * q
			iab += p * q
		}
		n += float64(len(a))
		sa, sb = sa+float64(ia), sb+float64(ib)
		saa, sbb, sab = saa+float64(iaa), sbb+float64(ibb), sab+float64(iab)
	})
	if n == 0 {
		return 0
	}
	va, vb, cov := saa-sa*sa/n, sbb-sb*sb/n, sab-sa*sb/n
	if va <= 0 || vb <= 0 {
		return 0
	}
	r2 := math.Min(cov*cov/(va*vb), 1-1e-9)
	return -10 * math.Log10(1-r2)
}

// overlap calls f for each row that both pictures have, got being shifted by dx to the right and dy down: x and
// y are the place in sent of the first of the pixels a of sent, and b are those of got.
func overlap(sent, got *image.Gray, dx, dy int, f func(x, y int, a, b []uint8)) {
	left, right := max(0, -dx), min(sent.Rect.Dx(), got.Rect.Dx()-dx)
	if left >= right {
		return
	}
	for y := max(0, -dy); y < min(sent.Rect.Dy(), got.Rect.Dy()-dy); y++ {
		f(left, y, sent.Pix[y*sent.Stride:][left:right], got.Pix[(y+dy)*got.Stride:][left+dx:right+dx])
	}
}

// PSNR is the peak signal-to-noise ratio in dB of a received picture that is shifted by dx to the right and dy
// down, over what both have. It ends at 90 dB.
func PSNR(sent, got *image.Gray, dx, dy int) float64 {
	sum, n := 0, 0
	overlap(sent, got, dx, dy, func(_, _ int, a, b []uint8) {
		for i, v := range a {
			d := int(v) - int(b[i])
			sum += d * d
		}
		n += len(a)
	})
	if n == 0 {
		return 0
	}
	return -10 * math.Log10(max(float64(sum)/float64(n)/(255*255), 1e-9))
}
