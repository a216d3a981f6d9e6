package live

import (
	"encoding/json"
	"math"
	"testing"
)

// What is written out by hand can be read as JSON, whatever the characters are.
func TestChars(t *testing.T) {
	all := Chars{{"A", 0.934}, {"\"", 1}, {"\\", 0}, {"\n", 0.5}, {"<", 0.005}, {"Ä", 0.9951}, {"<BELL>", 0.1}, {"\x00", 0.25}, {"\xff", 0.75}, {"", 1}}
	var got [][2]any
	must(t, json.Unmarshal(encode(all), &got))
	for i, c := range all {
		want := c.Text
		if want == "\xff" {
			want = "\uFFFD"
		}
		if got[i][0] != want || math.Abs(got[i][1].(float64)-c.Confidence) > 0.005 {
			t.Errorf("%+v is %v", c, got[i])
		}
	}
	if empty := string(encode(Chars(nil))); empty != "[]" {
		t.Error(empty)
	}
}
