package dsc

import (
	"fmt"
	"slices"
	"strings"
)

// part is one of a call's parts: how many symbols it has, which ones they may be, and how they are put into words and back.
type part struct {
	name     string
	optional bool
	count    int
	allows   func(at int, s Symbol) bool
	words    func([]Symbol) (string, bool)
	symbols  func(string) ([]Symbol, bool)
}

// one is a part of one symbol with a table of meanings.
func one(name string, w words) part {
	return part{
		name: name, count: 1,
		allows: func(_ int, s Symbol) bool { _, ok := w[s]; return ok },
		words:  func(s []Symbol) (string, bool) { m, ok := w[s[0]]; return m, ok },
		symbols: func(v string) ([]Symbol, bool) {
			s, ok := w.symbol(v)
			return []Symbol{s}, ok
		},
	}
}

var (
	callPart      = one("call", formats)
	toPart        = part{"to", false, 5, identityAllows, identityWords, identitySymbols}
	areaPart      = part{"area", false, 5, areaAllows, areaWords, areaSymbols}
	categoryPart  = one("category", categories)
	fromPart      = part{"from", false, 5, identityAllows, identityWords, identitySymbols}
	naturePart    = one("nature", natures)
	subjectPart   = part{"in distress", false, 5, identityAllows, identityWords, identitySymbols}
	positionPart  = part{"position", false, 5, positionAllows, positionWords, positionSymbols}
	timePart      = part{"time", false, 2, timeAllows, timeWords, timeSymbols}
	thenPart      = one("then", telecommands)
	commandPart   = one("telecommand", telecommands)
	reasonPart    = one("second telecommand", reasons)
	receivePart   = part{"receive on", true, 3, frequencyAllows, frequencyWords, frequencySymbols}
	transmitPart  = part{"transmit on", true, 3, frequencyAllows, frequencyWords, frequencySymbols}
	reportPart    = part{"position", true, 6, reportAllows, reportWords, reportSymbols}
	reportTime    = part{"time", true, 2, timeAllows, timeWords, timeSymbols}
	alertParts    = []part{fromPart, naturePart, positionPart, timePart, thenPart}
	aboutDistress = []part{commandPart, subjectPart, naturePart, positionPart, timePart, thenPart}
	// partNames are those that Parse knows, so that the longest name is found first.
	partNames = func() (names []string) {
		for _, p := range slices.Concat(alertParts, aboutDistress, []part{toPart, areaPart, categoryPart, reasonPart, receivePart, transmitPart}) {
			names = append(names, p.name)
		}
		return append(names, "end")
	}()
)

// next is the part that follows the symbols up to now; false: there is none. report says that a position follows where frequencies
// may be.
func next(before []Symbol, report bool) (part, bool) {
	n := len(before)
	if n == 0 {
		return callPart, true
	}
	if before[0] == formatDistress {
		return walk(alertParts, n-1)
	}
	parts := []part{categoryPart, fromPart}
	switch before[0] {
	case formatArea:
		parts = slices.Insert(parts, 0, areaPart)
	case formatAllShips:
	default:
		parts = slices.Insert(parts, 0, toPart)
	}
	head := 1
	for _, p := range parts {
		head += p.count
	}
	if n < head {
		return walk(parts, n-1)
	}
	category := before[head-fromPart.count-1]
	if category == categoryDistress {
		return walk(aboutDistress, n-head)
	}
	message := head + commandPart.count + reasonPart.count
	switch {
	case n < message:
		return walk([]part{commandPart, reasonPart}, n-head)
	case n == message && report, n > message && before[message] == positionFollows:
		return walk([]part{reportPart, reportTime}, n-message)
	}
	return walk([]part{receivePart, transmitPart}, n-message)
}

// walk is the part that begins after so many symbols.
func walk(parts []part, after int) (part, bool) {
	for _, p := range parts {
		if after == 0 {
			return p, true
		}
		after -= p.count
	}
	return part{}, false
}

// partOf is the name of a part of a line; "" if it is none.
func partOf(line string) (name string) {
	for _, n := range partNames {
		if strings.HasPrefix(line, n+" ") && len(n) > len(name) {
			name = n
		}
	}
	return name
}

func endOf(v string) (Symbol, error) {
	if v == "" {
		return EndOther, nil
	}
	if s, ok := ends.symbol(v); ok {
		return s, nil
	}
	return 0, fmt.Errorf("%q is no end of a call: request, answer or none", v)
}
