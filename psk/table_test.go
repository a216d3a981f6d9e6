package psk

import (
	"encoding/csv"
	"os"
	"strconv"
	"strings"
	"testing"
)

// All codes against testdata/varicode.csv, which names its source (ITU-R M.2034).
func TestVaricode(t *testing.T) {
	file, err := os.Open("testdata/varicode.csv")
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
	if len(rows) != 129 {
		t.Fatalf("%d rows", len(rows))
	}
	seen := map[string]bool{}
	for _, row := range rows[1:] {
		c, err := strconv.Atoi(row[0])
		if err != nil || varicode[c] != row[1] {
			t.Errorf("%s: %s", row[0], row[1])
		}
		if b := row[1]; seen[b] || strings.Contains(b, "00") || b[0] != '1' || b[len(b)-1] != '1' || len(b) > 10 {
			t.Errorf("code %s", b)
		}
		seen[row[1]] = true
	}
	// Every code of up to nine bits that is possible is used: words of 1 and 01 that begin with 1, Fibonacci numbers in all 88.
	short := 0
	for b := range seen {
		if len(b) <= 9 {
			short++
		}
	}
	if short != 88 {
		t.Errorf("%d codes of up to nine bits", short)
	}
}

func TestEncode(t *testing.T) {
	bits, err := Encode("e t")
	if err != nil {
		t.Fatal(err)
	}
	got := ""
	for _, b := range bits {
		got += map[bool]string{true: "1", false: "0"}[b]
	}
	if want := varicode['e'] + "00" + varicode[' '] + "00" + varicode['t'] + "00"; got != want {
		t.Errorf("%s, want %s", got, want)
	}
	if _, err := Encode("é"); err == nil {
		t.Error("a character that the code lacks is sent")
	}
}
