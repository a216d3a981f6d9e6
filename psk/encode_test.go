package psk

import (
	"bytes"
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
		if seen[code] || strings.Contains(code, "00") || code[0] != '1' || code[len(code)-1] != '1' || len(code) > asciiBits {
			t.Errorf("code %s of %d", code, char)
		}
		seen[code] = true
	}
	// Every code of up to nine bits that is possible is used: 88 of them.
	short := 0
	for code := range seen {
		if len(code) < asciiBits {
			short++
		}
	}
	if short != 88 {
		t.Errorf("%d codes of up to nine bits", short)
	}
}

// Words that begin and end with 1 and do not contain 00 are as many as the Fibonacci numbers: 88 of one to nine bits, 55 of ten, 89 of
// eleven and 144 of twelve. ASCII has all of the first and 40 of ten bits; 15, 89 and 24 are the next 128, in order.
func TestUpperHalf(t *testing.T) {
	fibonacci := [mostBits + 1]int{0, 1, 1}
	for n := 3; n <= mostBits; n++ {
		fibonacci[n] = fibonacci[n-1] + fibonacci[n-2]
	}
	var ascii, upper [mostBits + 1]int
	seen := map[string]bool{}
	for char, code := range codes {
		if seen[code] || strings.Contains(code, "00") || code[0] != '1' || code[len(code)-1] != '1' {
			t.Errorf("code %s of %d", code, char)
		}
		seen[code] = true
		if char < 128 {
			ascii[len(code)]++
			continue
		}
		upper[len(code)]++
		if before := codes[char-1]; char > 128 && (len(code) < len(before) || len(code) == len(before) && code < before) {
			t.Errorf("code %s of %d comes after %s", code, char, before)
		}
	}
	for n, all := range fibonacci[:asciiBits] {
		if ascii[n] != all || upper[n] != 0 {
			t.Errorf("%d of %d words of %d bits are ASCII", ascii[n], all, n)
		}
	}
	if fibonacci[10] != 40+15 || fibonacci[11] != 89 || ascii[10] != 40 || upper[10] != 15 || upper[11] != 89 || upper[12] != 24 {
		t.Errorf("%d of ten bits are ASCII, %v are above", ascii[10], upper)
	}
}

func unpack(bits []bool) (text []byte) {
	var u Unpacker
	for _, bit := range append([]bool{false, false}, bits...) {
		if b, ok := u.Next(bit); ok {
			text = append(text, b)
		}
	}
	return text
}

func TestEveryByte(t *testing.T) {
	all := make([]byte, 256)
	for i := range all {
		all[i] = byte(i)
	}
	if got := unpack(Encode(all)); !bytes.Equal(got, all) {
		t.Errorf("%q", got)
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
	bits := Encode([]byte("gale warning 8 BACKING SOUTH"))
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
				if char, ok := u.Next(b>>i&1 == 1); ok && codes[char] == "" {
					t.Fatalf("byte %d", char)
				}
			}
		}
	})
}
