package alerts

import (
	"path"
	"regexp"
	"strings"
)

// Forms of call signs: Radio Regulations, Article 19, Section III, from memory.
//
//	amateur         two characters, or one of B, F, G, I, K, M, N, R, W; a figure; up to four characters, the last a letter
//	ship            two characters and two letters, with a figure behind them or not
//	aircraft        two characters and three letters
//	land, fixed     two characters and a letter, with up to three figures behind it or not
//
// The first two characters are not both figures. Forms without a figure behind are those of words too: what has such a form
// counts only behind "DE", which is sent before the call sign of the station that is calling (Recommendation ITU-R M.1172).
var (
	withFigure = regexp.MustCompile(`^(?:(?:[BFGIKMNRW]|[A-Z][A-Z0-9]|[2-9][A-Z])[0-9][A-Z0-9]{0,3}[A-Z]|(?:[A-Z][A-Z0-9]|[2-9][A-Z])[A-Z]{1,2}[2-9][0-9]{0,2})$`)
	ofLetters  = regexp.MustCompile(`^(?:[A-Z][A-Z0-9]|[2-9][A-Z])[A-Z]{1,3}$`)
)

// sure is the confidence that each character of a call sign has: it is more probably right than not. A call sign with one wrong
// character is another station's, so that nothing is suffered in it.
const sure = 0.5

// callIn finds a call sign in a word, which may have a country before it and what is added behind it: "XX/QQ9QQ/P".
func callIn(word string, afterDE bool) string {
	for part := range strings.SplitSeq(word, "/") {
		if withFigure.MatchString(part) || afterDE && ofLetters.MatchString(part) {
			return part
		}
	}
	return ""
}

// matchCall compares with a pattern of letters, figures, "*" and "?".
func matchCall(pattern, call string) bool {
	ok, err := path.Match(strings.ToUpper(pattern), call)
	return ok && err == nil
}

var callPattern = regexp.MustCompile(`^[A-Za-z0-9*?]*[A-Za-z0-9][A-Za-z0-9*?]*$`)
