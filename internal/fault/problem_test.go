package fault

import "testing"

func TestProblems(t *testing.T) {
	if err := (Problems{}).Err(); err != nil {
		t.Error(err)
	}
	p := Problems{
		{File: "b.csv", Line: 2, Message: "m"}, {File: "a.toml", Line: 10, Column: 3, Message: "one\n\x1b[2J line", Mend: "mend"},
		{File: "a.toml", Line: 9, Column: 30, Message: "m", Mend: "n"}, {File: "a.toml", Message: "m"},
	}
	want := "a.toml: m\na.toml:9:30: m; n\na.toml:10:3: one [2J line; mend\nb.csv:2: m"
	if err := p.Err(); err == nil || err.Error() != want {
		t.Errorf("%v\nwant\n%s", err, want)
	}
	if each := p.Unwrap(); len(each) != 4 || each[3].Error() != "b.csv:2: m" {
		t.Error(each)
	}
}
