package nearest

import "testing"

func TestDistance(t *testing.T) {
	for _, c := range []struct {
		a, b string
		want int
	}{
		{"", "", 0}, {"", "AB", 2}, {"AB", "", 2}, {"ABC", "ABC", 0}, {"AB CD", "ABCD", 1}, {"ABCD", "BCDA", 2},
		{"kitten", "sitting", 3}, {"saturday", "sunday", 3}, // examples of textbooks
	} {
		if d := Distance([]rune(c.a), []rune(c.b)); d != c.want {
			t.Errorf("distance of %q and %q: %d, want %d", c.a, c.b, d, c.want)
		}
	}
}

func TestName(t *testing.T) {
	names := []string{"name", "source", "dial", "sideband", "iq"}
	for misspelt, want := range map[string]string{
		"sorce": "source", "Dial": "dial", "side-band": "sideband", "frequency": "", "nmae": "name", "qi": "",
	} {
		if near := Name(misspelt, names); near != want {
			t.Errorf("nearest to %q: %q, want %q", misspelt, near, want)
		}
	}
	if s := DidYouMean("sorce", names); s != "did you mean source?" {
		t.Errorf("%q", s)
	}
}
