package scenario

import "math"

// station draws the circle and the wind barb of a station plot: the staff points to where the wind comes from
// (angle in radians, clockwise from the right as y is down), half a feather for 5 kn, a feather for 10, a
// pennant for 50 (WMO-No. 485 appendix on plotting symbols, from memory). Feathers stand on the low-pressure
// side, which is clockwise of the staff in the northern hemisphere. scale 1 makes a circle 14 pixels wide.
func station(c canvas, at point, from float64, knots int, pen, scale float64) {
	r := 7 * scale
	c.fill(white, circle(at, r+pen)...)
	c.stroke(pen, black, circle(at, r)...)
	if knots < 3 {
		c.stroke(pen, black, circle(at, r+4*scale+pen)...)
		return
	}
	dir := point{math.Cos(from), math.Sin(from)}
	side := point{-dir.y, dir.x}
	length, step := 46*scale, 8*scale
	c.stroke(pen, black, at.add(dir.scale(r)), at.add(dir.scale(length)))
	feather := func(d, size float64) {
		foot := at.add(dir.scale(d))
		c.stroke(pen, black, foot, foot.add(side.scale(18*scale*size)).add(dir.scale(6*scale*size)))
	}
	d := length
	units := (knots + 2) / 5
	for ; units >= 10; units -= 10 {
		a, b := at.add(dir.scale(d)), at.add(dir.scale(d-1.3*step))
		tip := a.add(side.scale(18 * scale)).add(dir.scale(2 * scale))
		c.stroke(pen, black, a, tip, b)
		if pen < 2 || scale > 1.2 {
			c.fill(black, a, tip, b)
		}
		d -= 1.8 * step
	}
	if units == 1 && d == length {
		d -= step // a lone half feather stands in from the end, lest it be read as a whole one
	}
	for ; units >= 2; units -= 2 {
		feather(d, 1)
		d -= step
	}
	if units == 1 {
		feather(d, 0.5)
	}
}
