package grade

import (
	"testing"
)

// What someone types at 75 Bd, with pauses, is not taken for text of another rate when the receiver makes sure of the rate:
// rates are compared over the same text.
func TestTypedTextKeepsItsRate(t *testing.T) {
	for _, seed := range []uint64{12386178553066447959, 11732391346916627708, 9241436758745692748} {
		if r, err := rttyTextStudy.Trial(t.Context(), seed); err != nil || !r.Right {
			t.Errorf("%v %s", err, r.Note)
		}
	}
}
