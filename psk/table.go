package psk

import (
	"strconv"
	"strings"
)

// Baud is the rate of symbols (ITU-R M.2034).
const Baud = 31.25

// The lengths of the longest codes, of all and of ASCII.
const (
	mostBits  = 12
	asciiBits = 10
)

// varicode has the code of each ASCII character, first bit on the left: ITU-R M.2034, from memory; see testdata/varicode.csv.
var varicode = [128]string{
	"1010101011", "1011011011", "1011101101", "1101110111", "1011101011", "1101011111",
	"1011101111", "1011111101", "1011111111", "11101111", "11101", "1101101111",
	"1011011101", "11111", "1101110101", "1110101011", "1011110111", "1011110101",
	"1110101101", "1110101111", "1101011011", "1101101011", "1101101101", "1101010111",
	"1101111011", "1101111101", "1110110111", "1101010101", "1101011101", "1110111011",
	"1011111011", "1101111111", "1", "111111111", "101011111", "111110101",
	"111011011", "1011010101", "1010111011", "101111111", "11111011", "11110111",
	"101101111", "111011111", "1110101", "110101", "1010111", "110101111",
	"10110111", "10111101", "11101101", "11111111", "101110111", "101011011",
	"101101011", "110101101", "110101011", "110110111", "11110101", "110111101",
	"111101101", "1010101", "111010111", "1010101111", "1010111101", "1111101",
	"11101011", "10101101", "10110101", "1110111", "11011011", "11111101",
	"101010101", "1111111", "111111101", "101111101", "11010111", "10111011",
	"11011101", "10101011", "11010101", "111011101", "10101111", "1101111",
	"1101101", "101010111", "110110101", "101011101", "101110101", "101111011",
	"1010101101", "111110111", "111101111", "111111011", "1010111111", "101101101",
	"1011011111", "1011", "1011111", "101111", "101101", "11",
	"111101", "1011011", "101011", "1101", "111101011", "10111111",
	"11011", "111011", "1111", "111", "111111", "110111111",
	"10101", "10111", "101", "110111", "1111011", "1101011",
	"11011111", "1011101", "111010101", "1010110111", "110111011", "1010110101",
	"1011010111", "1110110101",
}

// codes are those of all bytes. Those from 128 on are the legal words that ASCII leaves, the shorter ones first, and of one length in
// the order of their values: from memory. All words of nine bits and 40 of ten are taken, so that the rest of ten, all of eleven and
// 24 of twelve make 128.
var codes = func() (all [256]string) {
	taken := map[string]bool{}
	for char, code := range varicode {
		all[char] = code
		taken[code] = true
	}
	next := len(varicode)
	for n := 1; next < len(all); n += 2 { // in binary, the last bit is 1: in the order of lengths, then of values
		if code := strconv.FormatInt(int64(n), 2); !strings.Contains(code, "00") && !taken[code] {
			all[next] = code
			next++
		}
	}
	return all
}()

// characters has the byte of each code, the bits read as a binary number; -1: it is none.
var characters = func() (c [1 << mostBits]int16) {
	for i := range c {
		c[i] = -1
	}
	for char, code := range codes {
		n, err := strconv.ParseUint(code, 2, mostBits)
		if err != nil {
			panic("psk: " + err.Error()) // the codes are ours
		}
		c[n] = int16(char)
	}
	return c
}()
