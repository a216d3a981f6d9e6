package modeb

import (
	"encoding/csv"
	"os"
	"testing"
)

// All 35 patterns and both cases against testdata/ccir476.csv, which names its sources (ITU-R M.476-5, M.625-4).
func TestTable(t *testing.T) {
	file, err := os.Open("testdata/ccir476.csv")
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
	named := map[string]rune{"WRU": Enquiry, "(national)": National, "BELL": Bell, "CR": '\r', "LF": '\n', "SPACE": ' ',
		"LTRS": 0, "FIGS": 0, "BLANK": 0, "RQ": 0, "ALPHA": 0, "BETA": 0}
	codes := map[string]Code{"CR": CR, "LF": LF, "LTRS": LettersShift, "FIGS": FiguresShift, "SPACE": Space, "BLANK": Blank, "RQ": RQ, "ALPHA": Alpha, "BETA": Beta}
	if len(rows) != 36 {
		t.Fatalf("%d rows", len(rows))
	}
	for _, row := range rows[1:] {
		var c Code
		for i, e := range row[1] {
			if e == 'B' {
				c |= 1 << i
			}
		}
		if want, ok := codes[row[0]]; ok && want != c {
			t.Errorf("%s is %v, want %s", row[0], want, row[1])
		}
		if !c.Legal() || c.String() != row[1] {
			t.Errorf("%s: %v, legal %v", row[1], c, c.Legal())
		}
		for i, name := range []string{row[0], row[2]} {
			want, ok := named[name]
			if !ok {
				want = []rune(name)[0]
			}
			if got := c.Rune(i == 1); got != want {
				t.Errorf("%s, figures %v: %q, want %q", row[1], i == 1, got, want)
			}
		}
	}
	legal := 0
	for c := range Code(128) {
		if c.Legal() {
			legal++
		}
	}
	if legal != 35 { // the binomial coefficient 7 over 4
		t.Errorf("%d legal patterns", legal)
	}
}

// Each code comes again five characters later (ITU-R M.476-5: 350 ms from start to start), and prints what was encoded.
func TestSendings(t *testing.T) {
	const text = "ZCZC EA01\nGALE WARNING 8 (SW), 1/2"
	codes, err := Encode(text)
	if err != nil {
		t.Fatal(err)
	}
	for _, alphaFirst := range []bool{false, true} {
		air := Sendings(codes, 16, 15, alphaFirst)
		printed, figures := "", false
		for i := 32; i < 32+2*len(codes); i += 2 {
			if air[i] != air[i+5] {
				t.Fatalf("%d: %v and %v", i, air[i], air[i+5])
			}
			switch c := air[i]; c {
			case LettersShift, FiguresShift:
				figures = c == FiguresShift
			case CR:
			default:
				printed += string(c.Rune(figures))
			}
		}
		if printed != text {
			t.Errorf("%q", printed)
		}
		if (air[0] == Alpha) != alphaFirst || air[0] == air[1] || air[len(air)-2] != Alpha {
			t.Errorf("%v", air)
		}
	}
	if _, err := Encode("%"); err == nil {
		t.Error("a character that the code lacks is sent")
	}
}
