package cw

import (
	"encoding/csv"
	"os"
	"testing"
)

// named are the entries of the table that are words, as Encode takes them.
var named = map[string]string{"multiplication": "×", "understood": "<SN>", "error": "<HH>",
	"invitation to transmit": "K", "wait": "<AS>", "end of work": "<SK>", "starting signal": "<KA>"}

// The whole table both ways against testdata/morse.csv, which names its source (ITU-R M.1677-1, annex 1, part I,
// clauses 1.1.1 to 1.1.3).
func TestM1677Table(t *testing.T) {
	file, err := os.Open("testdata/morse.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	reader := csv.NewReader(file)
	reader.Comment = '#'
	rows, err := reader.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	standard := map[Pattern]bool{}
	for _, row := range rows[1:] {
		name, isNamed := named[row[0]]
		if !isNamed {
			name = row[0]
		}
		symbols, err := Encode(name)
		if err != nil || len(symbols) != 1 {
			t.Errorf("%q: %d symbols, error %v", name, len(symbols), err)
			continue
		}
		s := symbols[0]
		p, ok := NewPattern(row[1])
		if !ok || s.Pattern != p || p.String() != row[1] || p.Len() != len(row[1]) {
			t.Errorf("%q is %v, want %s", name, s.Pattern, row[1])
		}
		found, ok := Lookup(p)
		if !ok || found != s || found.Practice {
			t.Errorf("%s is %+v, sent as %+v", row[1], found, s)
		}
		if !isNamed && found.Text != row[0] {
			t.Errorf("%s prints %q, want %q", row[1], found.Text, row[0])
		}
		if row[2] == "procedure" && found.Meaning != row[0] {
			t.Errorf("%s means %q, want %q", row[1], found.Meaning, row[0])
		}
		standard[p] = true
	}
	if len(rows) != 1+51+6 || len(standard) != 51+6-2 { // two share patterns
		t.Errorf("%d rows, %d patterns", len(rows)-1, len(standard))
	}
	for _, s := range Symbols() {
		if standard[s.Pattern] == s.Practice {
			t.Errorf("%v %s: common practice is %v", s.Pattern, s.Text, s.Practice)
		}
	}
	if p, _ := NewPattern("........"); p != ErrorSignal {
		t.Errorf("error signal: %v", ErrorSignal)
	}
}

// Every symbol is sent as it is printed, in either case.
func TestRoundTrip(t *testing.T) {
	all := Symbols()
	if len(all) != 55+20 {
		t.Errorf("%d symbols", len(all))
	}
	for _, want := range append(all, Space) {
		for _, text := range []string{want.Text, want.Procedure} {
			if text == "" {
				continue
			}
			got, err := Encode("E" + text)
			if err != nil || len(got) != 2 || got[1] != want {
				t.Errorf("%q is sent as %+v, error %v", text, got, err)
			}
		}
		if got, ok := Lookup(want.Pattern); !ok || got != want {
			t.Errorf("%v is %+v, want %+v", want.Pattern, got, want)
		}
	}
}

// The tree: a decoder that adds element by element comes to the same place.
func TestPattern(t *testing.T) {
	p := Pattern(1)
	for i, dash := range []bool{true, false, true, true} { // Y
		p = p.Add(dash)
		if p.Dash(i) != dash {
			t.Errorf("element %d of %v", i, p)
		}
	}
	if s, _ := Lookup(p); s.Text != "Y" || p.Dots() != 13 {
		t.Errorf("%v is %s of %d dots", p, s.Text, p.Dots())
	}
	for range 100 {
		p = p.Add(true)
	}
	if p != 0 {
		t.Errorf("a pattern without end is %v", p)
	}
	for _, bad := range []string{"", " ", ".x", "·−", "................................"} {
		if p, ok := NewPattern(bad); ok || p != 0 {
			t.Errorf("%q is a pattern", bad)
		}
	}
	for _, none := range []Pattern{1, 1 << 10, 1<<32 - 1} {
		if s, ok := Lookup(none); ok {
			t.Errorf("%v is %q", none, s.Text)
		}
	}
}
