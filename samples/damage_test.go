package samples

import (
	"math"
	"testing"
)

// Damage is where it was ordered, and as strong; the rest is untouched.
func TestDamage(t *testing.T) {
	const rate = 8000
	c, err := NewCarrier(rate, 1000, 1)
	if err != nil {
		t.Fatal(err)
	}
	d, err := NewDamage(NewLimit(c, 3), DamageConfig{Spans: [][2]float64{{0.5, 1}, {2, 2.5}}, NoisePower: 4, Seed: 1})
	if err != nil {
		t.Fatal(err)
	}
	x, err := ReadAll(d)
	if err != nil {
		t.Fatal(err)
	}
	power := func(from, to float64) (p float64) {
		part := x[int(from*rate):int(to*rate)]
		for _, v := range part {
			p += float64(v) * float64(v)
		}
		return p / float64(len(part))
	}
	for _, w := range [][3]float64{{0, 0.5, 0.5}, {0.5, 1, 4}, {1, 2, 0.5}, {2, 2.5, 4}, {2.5, 3, 0.5}} {
		if p := power(w[0], w[1]); math.Abs(p/w[2]-1) > 0.1 {
			t.Errorf("%g to %g s: power %.3f of %g", w[0], w[1], p, w[2])
		}
	}
	if _, err := NewDamage(c, DamageConfig{Spans: [][2]float64{{1, 2}, {0, 1}}}); err == nil {
		t.Error("spans out of order are accepted")
	}
}
