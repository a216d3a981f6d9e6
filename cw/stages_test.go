package cw

import (
	"math"
	"math/cmplx"
	"testing"
)

// Every symbol has its place in the tree, and those of letters and figures are the likeliest.
func TestTree(t *testing.T) {
	sum, found := 0.0, 0
	for i, n := range tree {
		if n.logP > none/2 {
			found++
			sum += math.Exp(float64(n.logP))
		}
		if i > 0 && tree[parent[i]].pattern != n.pattern>>1 {
			t.Errorf("%v has the parent %v", n.pattern, tree[parent[i]].pattern)
		}
		if leads := n.dot >= 0 || n.dash >= 0; leads != (i < inner) {
			t.Errorf("%v is number %d of %d that lead on", n.pattern, i, inner)
		}
	}
	if found != len(Symbols()) || math.Abs(sum-1) > 1e-6 {
		t.Errorf("%d symbols of probability %v", found, sum)
	}
}

// The pitch is followed to within a part of a hertz, also where it drifts, and the channel's level is that of the tone.
func TestChannel(t *testing.T) {
	for _, c := range []struct {
		hops         int
		began, drift float64 // Hz, Hz/s
		within       float64
	}{{40, 297, 0, 0.1}, {480, 299, 2, 0.25}, {480, 301, -2, 0.25}} {
		var ch channel
		ch.reset(c.began)
		z := make([]complex64, hop)
		at := func(n int) float64 { return float64(n) / bandRate }
		for n := range c.hops {
			for i := range z {
				u := at(n*hop + i)
				s, co := math.Sincos(2 * math.Pi * (300 + c.drift*u/2) * u)
				z[i] = complex(float32(co), float32(s))
			}
			ch.add(z)
		}
		if off := ch.hz - 300 - c.drift*at(c.hops*hop); math.Abs(off) > c.within {
			t.Errorf("drift of %v Hz/s: %.2f Hz off", c.drift, off)
		}
		end := float64(ch.out.end)
		if a := cmplx.Abs(ch.out.at(end)-ch.out.at(end-50)) / 50; math.Abs(a-1) > 0.01 {
			t.Errorf("level %v", a)
		}
	}
}

// A sender's lengths are learnt.
func TestSender(t *testing.T) {
	s := newSender(30)
	for range 100 {
		s.hear(dotLength, 33, 1)
		s.hear(gapLength, 27, 1)
		s.hear(dashLength, 120, 1)
	}
	if math.Abs(s.mean[dotLength]-33) > 1 || math.Abs(s.mean[dashLength]-120) > 4 || math.Abs(s.weighting()-0.55) > 0.01 || s.spread[dotLength] > 0.05 {
		t.Errorf("%+v", s)
	}
}
