package demod

import "math"

// Minimax polynomial of atan(t) on [0, 1], odd powers 1 to 9, from testdata/fit_atan.py (Remez exchange);
// largest error 1.15e-5 rad.
const (
	atan1 = 0.9998663294659742
	atan3 = -0.3303047855058357
	atan5 = 0.1801592946407834
	atan7 = -0.08515635084019368
	atan9 = 0.020845114178578282
)

// Phase is the angle of z in radians, from -π to π, right to 1.2e-5 rad (the polynomial's 1.15e-5 and float32
// rounding) for |z| > 1e-30; of 0 it is 0. z must be finite.
//
// The ratio of the smaller part to the larger goes through a polynomial; a table puts the octant right. No
// branches, because with a turning phase a processor guesses them wrong.
func Phase(z complex64) float32 {
	x, y := math.Float32bits(real(z)), math.Float32bits(imag(z))
	ax, ay := x&^(1<<31), y&^(1<<31)
	// Patterns of positive floats are in the order of their values.
	steep := uint32(int32(ax-ay) >> 31) // all ones if |x| < |y|
	swap := (ax - ay) & steep
	large := math.Float32frombits(ax - swap) // max(|x|, |y|)
	small := math.Float32frombits(ay + swap) // min
	t := small / (large + 0x1p-126)          // 0 for 0/0; the smallest normal number changes nothing else
	u := t * t
	v := u * u
	a := t * (atan1 + u*atan3 + v*(atan5+u*atan7+v*atan9))
	o := &octants[(steep&1|x>>31<<1|y>>31<<2)&7]
	return o.start + o.sign*a
}

// octants tells how the angle in [0, π/4] counts: bit 0 |x| < |y|, bit 1 x < 0, bit 2 y < 0.
var octants = func() (o [8]struct{ start, sign float32 }) {
	for i := range o {
		start, sign := 0.0, 1.0
		if i&1 != 0 {
			start, sign = math.Pi/2, -1
		}
		if i&2 != 0 {
			start, sign = math.Pi-start, -sign
		}
		if i&4 != 0 {
			start, sign = -start, -sign
		}
		o[i].start, o[i].sign = float32(start), float32(sign)
	}
	return o
}()
