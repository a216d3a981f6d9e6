package grade

import (
	"testing"
)

// A space after each character, or none, is told from a wrong one now and then.
func TestSpacingLost(t *testing.T) {
	const sent = "THE TRAIN LEAVES THE HARBOUR AT SIX IN THE EVENING"
	for heard, want := range map[string]bool{
		sent: false,
		"THE TRAIN LEA VES THEHARBOUR AT SIX IN THE EVEN ING":                  false,
		"T H E T R A I N L E A V E S T H E HARBOUR AT SIX IN THE EVENING":      false,
		"THE TRAIN LEAVES THE H A R B O U R A T S I X I N T H E E V E N I N G": true,
		"THE TRAIN LEAVES THE HARBOURATSIXINTHEEVENING":                        true,
	} {
		if got := spacingLost([]rune(sent), []rune(heard)); got != want {
			t.Errorf("%q: %v", heard, got)
		}
	}
}
