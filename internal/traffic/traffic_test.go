package traffic

import (
	"math/rand/v2"
	"strings"
	"testing"

	"ionoscribe/rtty"
)

// Every message has the length that was asked for, and ITA2 (ITU-T S.1) has all its characters.
func TestMessage(t *testing.T) {
	for _, k := range Kinds {
		for seed := range uint64(20) {
			n := 1 + int(seed)*17
			m := Message(k, rand.New(rand.NewPCG(seed, 1)), n)
			if len(m) != n || strings.TrimSpace(m) != m {
				t.Fatalf("%s of %d characters: %q", k, n, m)
			}
			if _, err := (rtty.Encoder{}).Encode(m); err != nil {
				t.Errorf("%s: %v", k, err)
			}
			if m != Message(k, rand.New(rand.NewPCG(seed, 1)), n) {
				t.Errorf("%s differs from run to run", k)
			}
		}
		t.Logf("%-10s %q", k, Message(k, rand.New(rand.NewPCG(3, 1)), 90))
	}
}
