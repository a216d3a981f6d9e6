package cw

import (
	"math"
	"math/bits"
	"slices"
)

// node is a place in the tree of patterns: a character, or the beginning of one.
type node struct {
	pattern   Pattern
	dot, dash int     // nodes that it leads to, -1 for none
	logP      float32 // of the character, none if it is none
}

// Shares of what is sent (own estimate): letters and figures are alike, as in groups.
const (
	plainShare  = 0.93 // letters and figures
	commonSigns = 0.05 // . , ? / = + - and the procedure signals of the standard
	rareShare   = 0.02 // all others
)

// tree has the nodes that lead on first; nodes[0] is the root.
var (
	tree     []node
	inner    int    // at most 64
	innerSet uint64 // a bit for each inner node
	parent   []int  // of each node
)

// init makes the tree of the code, which the init of table.go has made.
func init() {
	kind := func(s Symbol) int {
		r := []rune(s.Text)
		switch {
		case len(r) == 1 && (r[0] >= 'A' && r[0] <= 'Z' || r[0] >= '0' && r[0] <= '9'):
			return 0
		case slices.Contains([]string{".", ",", "?", "/", "=", "+", "-"}, s.Text) || len(r) > 1 && !s.Practice:
			return 1
		}
		return 2
	}
	var counts [3]int
	leads, all := map[Pattern]bool{}, map[Pattern]bool{1: true}
	for _, s := range Symbols() {
		counts[kind(s)]++
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
	share := [3]float64{plainShare, commonSigns, rareShare}
	for _, p := range patterns {
		n := node{pattern: p, dot: -1, dash: -1, logP: none}
		if i, ok := index[p.Add(false)]; ok {
			n.dot = i
		}
		if i, ok := index[p.Add(true)]; ok {
			n.dash = i
		}
		if s, ok := Lookup(p); ok && bits.Len32(uint32(p)) > 1 {
			k := kind(s)
			n.logP = float32(math.Log(share[k] / float64(counts[k])))
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
