package cw

import (
	"math"
	"math/bits"
	"slices"
)

// node is a node of the tree of patterns: a character, or the beginning of one.
type node struct {
	pattern   Pattern
	dot, dash int     // nodes that it leads to, -1 for none
	logP      float32 // usual logarithm of the probability of the character; none if it is no character
	kind      kind
}

// kind is that of a sign.
type kind int

const (
	letter kind = iota
	figure
	commonSign // . , ? / = + - and the procedure signals of the standard
	rareSign   // all others
	kinds
)

// usualShares are the shares of what is sent (own estimate). Each letter is as likely as each figure, as in groups.
var usualShares = [kinds]float64{letter: groupShare * 26 / 36, figure: groupShare * 10 / 36, commonSign: 0.05, rareSign: 0.02}

const groupShare = 0.93 // of letters and figures

func kindOf(s Symbol) kind {
	r := []rune(s.Text)
	switch {
	case len(r) == 1 && r[0] >= 'A' && r[0] <= 'Z':
		return letter
	case len(r) == 1 && r[0] >= '0' && r[0] <= '9':
		return figure
	case slices.Contains([]string{".", ",", "?", "/", "=", "+", "-"}, s.Text) || len(r) > 1 && !s.Practice:
		return commonSign
	}
	return rareSign
}

// tree has the nodes that lead on first; nodes[0] is the root.
var (
	tree     []node
	inner    int    // at most 64
	innerSet uint64 // a bit for each inner node
	parent   []int  // of each node
)

// init makes the tree of the code, which the init of table.go has made.
func init() {
	var counts [kinds]int
	leads, all := map[Pattern]bool{}, map[Pattern]bool{1: true}
	for _, s := range Symbols() {
		counts[kindOf(s)]++
		for p := s.Pattern; p >= 1; p >>= 1 {
			all[p] = true
			if p > 1 {
				leads[p>>1] = true
			}
		}
	}
	patterns := make([]Pattern, 0, len(all))
	for p := range all {
		patterns = append(patterns, p)
	}
	slices.SortFunc(patterns, func(a, b Pattern) int {
		if leads[a] != leads[b] {
			if leads[a] {
				return -1
			}
			return 1
		}
		return int(a) - int(b)
	})
	index := map[Pattern]int{}
	for i, p := range patterns {
		index[p] = i
	}
	for _, p := range patterns {
		n := node{pattern: p, dot: -1, dash: -1, logP: none}
		if i, ok := index[p.Add(false)]; ok {
			n.dot = i
		}
		if i, ok := index[p.Add(true)]; ok {
			n.dash = i
		}
		if s, ok := Lookup(p); ok && bits.Len32(uint32(p)) > 1 {
			n.kind = kindOf(s)
			n.logP = float32(math.Log(usualShares[n.kind] / float64(counts[n.kind])))
		}
		tree = append(tree, n)
	}
	inner = len(leads)
	innerSet = 1<<inner - 1
	parent = make([]int, len(tree))
	for i, n := range tree {
		for _, k := range []int{n.dot, n.dash} {
			if k >= 0 {
				parent[k] = i
			}
		}
	}
}
