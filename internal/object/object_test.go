package object

import (
	"math"
	"testing"
)

func TestJoin(t *testing.T) {
	type none struct {
		X int `json:"x,omitempty"`
	}
	for _, c := range []struct {
		parts []any
		want  string
	}{
		{nil, `{}`},
		{[]any{none{}, none{}}, `{}`},
		{[]any{none{1}, nil, none{}, map[string]string{"y": "}"}}, `{"x":1,"y":"}"}`},
		{[]any{none{}, struct{ Z none }{none{2}}}, `{"Z":{"x":2}}`},
	} {
		if got, err := Join(c.parts...); err != nil || string(got) != c.want {
			t.Errorf("%v: %s, %v", c.parts, got, err)
		}
	}
	if _, err := Join(math.NaN()); err == nil {
		t.Error("NaN is taken")
	}
}
