package psk

import "fmt"

// varicode has the code of each character of ASCII, the first bit sent on the left (ITU-R M.2034, from memory): short codes are those
// of frequent characters of English text; each begins and ends with 1, and none has two zeros in a row, which separate characters.
var varicode = [128]string{
	"1010101011", "1011011011", "1011101101", "1101110111",
	"1011101011", "1101011111", "1011101111", "1011111101",
	"1011111111", "11101111", "11101", "1101101111",
	"1011011101", "11111", "1101110101", "1110101011",
	"1011110111", "1011110101", "1110101101", "1110101111",
	"1101011011", "1101101011", "1101101101", "1101010111",
	"1101111011", "1101111101", "1110110111", "1101010101",
	"1101011101", "1110111011", "1011111011", "1101111111",
	"1", "111111111", "101011111", "111110101",
	"111011011", "1011010101", "1010111011", "101111111",
	"11111011", "11110111", "101101111", "111011111",
	"1110101", "110101", "1010111", "110101111",
	"10110111", "10111101", "11101101", "11111111",
	"101110111", "101011011", "101101011", "110101101",
	"110101011", "110110111", "11110101", "110111101",
	"111101101", "1010101", "111010111", "1010101111",
	"1010111101", "1111101", "11101011", "10101101",
	"10110101", "1110111", "11011011", "11111101",
	"101010101", "1111111", "111111101", "101111101",
	"11010111", "10111011", "11011101", "10101011",
	"11010101", "111011101", "10101111", "1101111",
	"1101101", "101010111", "110110101", "101011101",
	"101110101", "101111011", "1010101101", "111110111",
	"111101111", "111111011", "1010111111", "101101101",
	"1011011111", "1011", "1011111", "101111",
	"101101", "11", "111101", "1011011",
	"101011", "1101", "111101011", "10111111",
	"11011", "111011", "1111", "111",
	"111111", "110111111", "10101", "10111",
	"101", "110111", "1111011", "1101011",
	"11011111", "1011101", "111010101", "1010110111",
	"110111011", "1010110101", "1011010111", "1110110101",
}

// code is bits of a varicode, the first one sent the most significant, behind a leading 1 that marks their number.
type code uint32

// characters has the character of each code; -1: none.
var characters = func() (all [1 << 11]int16) {
	for i := range all {
		all[i] = -1
	}
	for c, bits := range varicode {
		v := code(1)
		for _, b := range bits {
			v = v<<1 | code(b-'0')
		}
		all[v&(1<<11-1)] = int16(c)
	}
	return all
}()

// Encode gives the bits of a text, each character followed by the two zeros that separate it from the next: true is 1. '\n' is sent as
// CR LF.
func Encode(text string) ([]bool, error) {
	var out []bool
	put := func(c byte) {
		for _, b := range varicode[c] {
			out = append(out, b == '1')
		}
		out = append(out, false, false)
	}
	for at, r := range text {
		if r >= 128 {
			return nil, fmt.Errorf("phase telegraphy: the code has no %q, which is at byte %d of the text", r, at)
		}
		if r == '\n' {
			put('\r')
		}
		put(byte(r))
	}
	return out, nil
}
