package alerts

import (
	"bytes"
	"encoding/hex"
	"testing"
)

// RFC 4231, clauses 4.2, 4.3, 4.4 and 4.7: test cases 1, 2, 3 and 6 of HMAC-SHA-256.
func TestSign(t *testing.T) {
	for i, c := range []struct {
		key, data []byte
		want      string
	}{
		{bytes.Repeat([]byte{0x0b}, 20), []byte("Hi There"), "b0344c61d8db38535ca8afceaf0bf12b881dc200c9833da726e9376c2e32cff7"},
		{[]byte("Jefe"), []byte("what do ya want for nothing?"), "5bdcc146bf60754e6a042426089575c75a003f089d2739839dec58b964ec3843"},
		{bytes.Repeat([]byte{0xaa}, 20), bytes.Repeat([]byte{0xdd}, 50), "773ea91e36800e46854db8ebd09181a72959098b3ef8c122d9635514ced565fe"},
		{bytes.Repeat([]byte{0xaa}, 131), []byte("Test Using Larger Than Block-Size Key - Hash Key First"), "60e431591ee0b67f0d8a26aacbf5b77f8e0bc6213728c5140546040f0ee37f54"},
	} {
		if got := hex.EncodeToString(sign(c.key, c.data[:3], c.data[3:])); got != c.want {
			t.Errorf("case %d: %s, want %s", i, got, c.want)
		}
	}
}
