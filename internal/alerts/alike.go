package alerts

import (
	"strings"

	"ionoscribe/cw"
	"ionoscribe/rtty"
)

// Characters are alike that differ by one element in Morse (one that is another, missing or too many), or by one unit or by
// the shift alone in ITA2: one decision of a decoder makes one of the other.
var alikes = makeAlikes()

func alike(a, b rune) bool { return alikes[[2]rune{a, b}] }

const figuresAndSigns = "0123456789.,:;?'+-/=()!@\"&"

func makeAlikes() map[[2]rune]bool {
	all := []rune("ABCDEFGHIJKLMNOPQRSTUVWXYZ" + figuresAndSigns)
	m := map[[2]rune]bool{}
	for _, a := range all {
		for _, b := range all {
			if a != b && (alikeInMorse(a, b) || alikeInITA2(a, b)) {
				m[[2]rune{a, b}] = true
			}
		}
	}
	return m
}

func alikeInMorse(a, b rune) bool {
	x, errA := cw.Encode(string(a))
	y, errB := cw.Encode(string(b))
	return errA == nil && errB == nil && withinOne(x[0].Pattern.String(), y[0].Pattern.String())
}

// withinOne says that two strings of ASCII are the same but for one character that is another, or too many.
func withinOne(a, b string) bool {
	if len(a) > len(b) {
		a, b = b, a
	}
	i := 0
	for i < len(a) && a[i] == b[i] {
		i++
	}
	return i == len(a) && len(b)-i <= 1 || a[i:] == b[i+1:] || len(a) == len(b) && a[i+1:] == b[i+1:]
}

func alikeInITA2(a, b rune) bool {
	x, okA := unitsOf(a)
	y, okB := unitsOf(b)
	d := x ^ y
	return okA && okB && d&(d-1) == 0
}

// unitsOf is the code of a character without the shift before it.
func unitsOf(r rune) (rtty.Code, bool) {
	codes, err := rtty.Encoder{}.Encode(string(r))
	if err != nil || strings.ContainsRune("\r\n", r) {
		return 0, false
	}
	return codes[len(codes)-1], true
}
