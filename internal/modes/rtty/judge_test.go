package rtty

import (
	"testing"

	"ionoscribe/rtty"
)

// A line is paired with another as near as 42 Hz and as far as 1010 Hz; each such distance is an order that a decoder takes.
func TestAnyShiftIsAnOrder(t *testing.T) {
	j := Mode.NewJudge()
	for shift := rtty.LeastShiftHz - 8; shift <= rtty.MostShiftHz+10; shift += 7 {
		j.Judge(make([]float32, 100), 8000, Mode.Shape.Pair.Guess(shift))
	}
}
