package rtty

import (
	"math"
	"slices"
	"testing"
)

// ITU-T S.3 (from memory): 7.5 elements a character, so 150 ms or 400 characters a minute at 50 Bd, 100 ms at 75 Bd,
// 75 ms at 100 Bd; US machines: elements of 22 ms, stop 31 ms, 163 ms, 368 a minute. Ten characters a second at
// 110 Bd with 8 units and a stop of two elements.
func TestDurations(t *testing.T) {
	for _, c := range []struct {
		a              Alphabet
		baud, stop     float64
		ms, characters float64 // of one; a minute
	}{
		{ITA2, 50, 1.5, 150, 400}, {ITA2, 75, 1.5, 100, 600}, {ITA2, 100, 1.5, 75, 800},
		{ITA2US, Baud45, 31. / 22, 163, 368}, {ITA2US, 74.2, 1.42, 100, 600}, {ASCII8, 110, 2, 100, 600}, {ASCII7, 300, 1, 30, 2000},
	} {
		ms := 1000 * c.a.Elements(c.stop) / c.baud
		if math.Abs(ms-c.ms) > 0.05 || math.Abs(60000/ms-c.characters) > 0.6 {
			t.Errorf("%v at %.2f Bd: %.3f ms, %.1f a minute; want %v, %v", c.a, c.baud, ms, 60000/ms, c.ms, c.characters)
		}
	}
	if math.Abs(Baud45-45.45) > 0.005 || Bauds[0] != Baud45 || !slices.IsSorted(Bauds) || Bauds[len(Bauds)-1] != 300 {
		t.Errorf("rates %v", Bauds)
	}
	// 17.57 and 13.47 ms.
	if math.Abs(1000/Bauds[2]-17.57) > 0.01 || math.Abs(1000/Bauds[3]-13.47) > 0.01 {
		t.Errorf("%v and %v Bd", Bauds[2], Bauds[3])
	}
}
