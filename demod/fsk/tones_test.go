package fsk

import (
	"encoding/json"
	"math"
	"os"
	"testing"
)

// The filters of one element against SciPy's lfilter (testdata/matched.py made the values).
func TestMatchedFilters(t *testing.T) {
	b, err := os.ReadFile("testdata/matched.json")
	if err != nil {
		t.Fatal(err)
	}
	var want struct {
		Z     [][2]float64
		Power [2][]float64
	}
	if err := json.Unmarshal(b, &want); err != nil {
		t.Fatal(err)
	}
	z, weight := make([]complex64, len(want.Z)), make([]float32, len(want.Z)/HopLength)
	for i, v := range want.Z {
		z[i] = complex(float32(v[0]), float32(v[1]))
	}
	for i := range weight {
		weight[i] = 1
	}
	var f Tones
	f.begin(WideCentreHz-85, WideCentreHz+85, 75)
	f.listen(z, weight)
	if f.points != 64 {
		t.Fatalf("%d grid points", f.points)
	}
	for g := range int64(len(want.Power[0])) {
		out, _, w := f.element(g)
		for k, v := range out {
			if got := real(v)*real(v) + imag(v)*imag(v); math.Abs(got-want.Power[k][g]) > 1e-5 || math.Abs(w-1) > 1e-9 {
				t.Errorf("tone %d, element at %d: %.6f, want %.6f; weight %v", k, g, got, want.Power[k][g], w)
			}
		}
	}
}
