package grade

import (
	"image"
	"math"
)

// Fidelity scores a received picture against the sent one of the same width: F = -10·log10(1-r²) in dB, where r
// is the correlation of their pixels. A blank page scores 0 dB, whatever its share of black; PSNR would reward
// it. Rows and columns beyond either picture do not count.
//
// dx and dy are how far the received picture is shifted to the right and down, in whole pixels, at the best
// score; shifts up to reach are tried.
func Fidelity(sent, got *image.Gray, reach int) (db float64, dx, dy int) {
	db = -1
	for y := -reach; y <= reach; y++ {
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
	for y := max(0, -dy); y < sent.Rect.Dy() && y+dy < got.Rect.Dy(); y++ {
		a := sent.Pix[y*sent.Stride:][:sent.Rect.Dx()]
		b := got.Pix[(y+dy)*got.Stride:][:got.Rect.Dx()]
		from, to := max(0, -dx), min(len(a), len(b)-dx)
		var ia, ib, iaa, ibb, iab int
		for x := from; x < to; x++ {
			p, q := int(a[x]), int(b[x+dx])
			ia += p
			ib += q
			iaa += p * p
			ibb += q * q
			iab += p * q
		}
		n += float64(to - from)
		sa, sb = sa+float64(ia), sb+float64(ib)
		saa, sbb, sab = saa+float64(iaa), sbb+float64(ibb), sab+float64(iab)
	}
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

// PSNR is the peak signal-to-noise ratio in dB of two pictures of the same width, over the rows that both have.
func PSNR(sent, got *image.Gray) float64 {
	sum, n := 0.0, 0
	for y := 0; y < sent.Rect.Dy() && y < got.Rect.Dy(); y++ {
		a, b := sent.Pix[y*sent.Stride:][:sent.Rect.Dx()], got.Pix[y*got.Stride:][:got.Rect.Dx()]
		for x := range a {
			d := float64(a[x]) - float64(b[x])
			sum += d * d
		}
		n += len(a)
	}
	return 10 * math.Log10(255*255*float64(n)/(sum+1e-9))
}
