package psk

import (
	"encoding/csv"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// All 128 codes against testdata/varicode.csv, which names its source (ITU-R M.2034).
func TestTable(t *testing.T) {
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
		char, err := strconv.Atoi(row[0])
		if err != nil {
			t.Fatal(err)
		}
		code := varicode[char]
		if code != row[1] {
			t.Errorf("code of %d is %s, want %s", char, code, row[1])
		}
		if seen[code] || strings.Contains(code, "00") || code[0] != '1' || code[len(code)-1] != '1' || len(code) > mostBits {
			t.Errorf("code %s of %d", code, char)
		}
		seen[code] = true
	}
	// Every code of up to nine bits that is possible is used: 88 of them.
	short := 0
	for code := range seen {
		if len(code) < mostBits {
			short++
		}
	}
	if short != 88 {
		t.Errorf("%d codes of up to nine bits", short)
	}
}

func unpack(bits []bool) string {
	var u Unpacker
	var text []rune
	for _, bit := range append([]bool{false, false}, bits...) {
		if r, ok := u.Next(bit); ok {
			text = append(text, r)
		}
	}
	return string(text)
}

func TestEveryCharacter(t *testing.T) {
	var all []rune
	for r := range rune(128) {
		all = append(all, r)
	}
	bits, err := Encode(string(all))
	if err != nil {
		t.Fatal(err)
	}
	if got := unpack(bits); got != string(all) {
		t.Errorf("%q", got)
	}
	if _, err := Encode("é"); err == nil {
		t.Error("é is encoded")
	}
}

// likelihoods of turns that are certain.
func likelihoods(turns []int) [][4]float64 {
	l := make([][4]float64, len(turns))
	for i, turn := range turns {
		l[i][turn] = 1
	}
	return l
}

// The impulse of the code is its polynomials, read from the lowest bit: 0x19 is 11001, 0x17 is 10111. Free distance is 7: three turns
// that are wrong at a distance are mended.
func TestQPSK(t *testing.T) {
	if got, want := QPSK([]bool{true}), []int{1, 3, 3, 0, 1}; !slices.Equal(got, want) {
		t.Errorf("impulse %v, want %v", got, want)
	}
	bits, err := Encode("gale warning 8 BACKING SOUTH")
	if err != nil {
		t.Fatal(err)
	}
	turns := QPSK(bits)
	if got := Viterbi(likelihoods(turns)); !slices.Equal(got[:len(bits)], bits) {
		t.Error("clean symbols are decoded wrong")
	}
	for i := 10; i < len(turns)-20; i += 20 {
		turns[i] ^= 1
	}
	if got := Viterbi(likelihoods(turns)); !slices.Equal(got[:len(bits)], bits) {
		t.Error("single wrong symbols are not mended")
	}
}

func FuzzUnpack(f *testing.F) {
	f.Add([]byte{0, 0xb5, 0x20})
	f.Fuzz(func(t *testing.T, data []byte) {
		var u Unpacker
		for _, b := range data {
			for i := range 8 {
				if r, ok := u.Next(b>>i&1 == 1); ok && (r < 0 || r > 127) {
					t.Fatalf("character %d", r)
				}
			}
		}
	})
}
