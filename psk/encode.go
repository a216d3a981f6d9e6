package psk

import "math/bits"

// Encode is text, in bytes of a [Charset], as bits: the code of each and the 00 after it.
func Encode(text []byte) (out []bool) {
	for _, b := range text {
		for _, bit := range codes[b] {
			out = append(out, bit == '1')
		}
		out = append(out, false, false)
	}
	return out
}

// Unpacker puts bits together to bytes. Its zero value is ready, and waits for the first separator.
type Unpacker struct {
	code   int
	zeros  int
	joined bool // a separator was heard
}

// tooLong stands for all that is longer than a code.
const tooLong = 1 << (mostBits + 2)

// Next takes a bit; ok says that it has ended a byte. What is no code is dropped.
func (u *Unpacker) Next(bit bool) (char byte, ok bool) {
	if bit {
		u.code, u.zeros = min(u.code<<1|1, tooLong), 0
		return 0, false
	}
	u.zeros++
	if u.zeros < 2 {
		u.code = min(u.code<<1, tooLong)
		return 0, false
	}
	code, joined := u.code>>1, u.joined // without the first zero of the separator
	u.code, u.joined = 0, true
	if !joined || code == 0 || code >= len(characters) || characters[code] < 0 {
		return 0, false
	}
	return byte(characters[code]), true
}

// BPSK is the turn of each bit, in quarters: 0 is a reversal, 1 is none (ITU-R M.2034).
func BPSK(bits []bool) []int {
	turns := make([]int, len(bits))
	for i, b := range bits {
		if !b {
			turns[i] = 2
		}
	}
	return turns
}

// The convolutional code of QPSK: rate 1/2, K = 5 (ITU-R M.2034).
const (
	constraint = 5
	states     = 1 << (constraint - 1)
	polynomial = 0x19
	second     = 0x17
)

// QPSK is the turn of each bit, in quarters, those of an audio frequency going up; a receiver on the other sideband hears them
// negative. Bits are followed by zeros, which flush the code.
func QPSK(bits []bool) []int {
	turns := make([]int, 0, len(bits)+constraint-1)
	register := 0
	for i := range len(bits) + constraint - 1 {
		register = register << 1 & (1<<constraint - 1)
		if i < len(bits) && bits[i] {
			register |= 1
		}
		turns = append(turns, turnOf(register))
	}
	return turns
}

// turnOf is the turn for the last five bits, the newest the lowest: the parities as a number of two bits, plus two quarters, so that
// zeros are reversals as in BPSK (from memory).
func turnOf(register int) int {
	parity := func(of int) int { return bits.OnesCount(uint(of)) & 1 }
	return (2 + 2*parity(register&polynomial) + parity(register&second)) & 3
}

// Viterbi finds the bits of QPSK from likelihoods of the four turns of each symbol, in logarithms: the most likely sequence that
// starts from zeros and ends as it likes.
func Viterbi(likely [][4]float64) []bool {
	var score, next [states]float64
	for s := 1; s < states; s++ {
		score[s] = -1e9 // the register starts with zeros
	}
	came := make([][states]bool, len(likely)) // the oldest bit was 1
	for k, l := range likely {
		for s := range next {
			a := score[s>>1] + l[turnOf(s)]
			b := score[s>>1|states/2] + l[turnOf(s|states)]
			next[s], came[k][s] = max(a, b), b > a
		}
		score = next
	}
	best := 0
	for s := range score {
		if score[s] > score[best] {
			best = s
		}
	}
	out := make([]bool, len(likely))
	for k := len(likely) - 1; k >= 0; k-- {
		out[k] = best&1 == 1
		oldest := came[k][best]
		best >>= 1
		if oldest {
			best |= states / 2
		}
	}
	return out
}
