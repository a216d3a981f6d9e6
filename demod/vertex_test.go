package demod

import (
	"math"
	"testing"
)

// Of a parabola the top is found where it is; of what is straight or hollow there is none.
func TestVertex(t *testing.T) {
	for _, top := range []float64{-0.5, -0.2, 0, 0.31, 0.5} {
		f := func(x float64) float64 { return 7 - 2*(x-top)*(x-top) }
		if v := Vertex(f(-1), f(0), f(1)); math.Abs(v-top) > 1e-12 {
			t.Errorf("%v: %v", top, v)
		}
	}
	if Vertex(1, 2, 3) != 0 || Vertex(3, 1, 3) != 0 {
		t.Error("a top where there is none")
	}
}
