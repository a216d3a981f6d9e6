package cw

import (
	_ "embed"
	"math"
	"slices"
	"strings"
	"sync"
)

// plainText is English, written for this package in the style of bulletins, notices and letters; all in it is invented.
// An empty line stands for the separation =.
//
//go:embed plain.txt
var plainText string

// class is a class of what is sent: a letter, the gap between words, figures, common signs or rare ones.
type class uint8

const (
	blank       class = 0 // the gap between words
	figureClass class = 27
	commonClass class = 28
	rareClass   class = 29
	classes           = 30
)

// context is the last two classes that were sent.
type context uint16

const contexts = classes * classes

const nowhere context = 0 // before anything was sent: gaps

// after is the context that follows when c is sent.
func (c class) after(before context) context {
	return before%classes*classes + context(c)
}

// language predicts plain language from the last two classes: the probability of a gap between words, and that of each
// character if there is no gap.
type language struct {
	character [contexts][]float32 // by node
	gap       [contexts]float32
	alone     []float32 // by node: probability of the character after an unknown context, if there is no gap
	class     []class   // by node
	greatest  []float32 // by node: the greatest probability after any context
}

// The counts of what follows a context are smoothed by the next shorter context, as if that had been counted lowerCounts
// times. The text that grade cw sends has 2.91 nats a character by single ones, 2.38 by pairs, 2.16 by threes and 2.13 by
// fours.
const (
	lowerCounts = 10.0
	strangers   = 0.03 // of what is sent is no plain language: names, calls, numbers (own estimate)
	unseenClass = 0.2  // counted of each class, so that none is impossible
	unseenSign  = 0.5  // counted of each sign within its class
)

// english is made when it is first used.
var english = sync.OnceValue(func() *language { return newLanguage(plainText) })

func newLanguage(text string) *language {
	var one [classes]float64
	var two [classes][classes]float64
	three := make([][classes]float64, contexts)
	signs := make([]float64, len(tree)) // how often each character was sent
	sent, nodes := classesOf(text)
	at := nowhere
	for i, c := range sent {
		one[c]++
		two[int(at)%classes][c]++
		three[at][c]++
		at = c.after(at)
		if nodes[i] >= 0 {
			signs[nodes[i]]++
		}
	}
	l := &language{class: make([]class, len(tree)), greatest: make([]float32, len(tree))}
	var ofClass [classes]float64
	for k := range tree {
		l.class[k] = classOf(k)
		if tree[k].logP > none {
			signs[k] += unseenSign
			if l.class[k] == figureClass {
				signs[k] = 1 // all alike
			}
			ofClass[l.class[k]] += signs[k]
		}
	}
	total := 0.0
	for c := range one {
		one[c] += unseenClass
		total += one[c]
	}
	l.alone = make([]float32, len(tree))
	for k, n := range tree {
		if n.logP > none {
			c := l.class[k]
			l.alone[k] = mixed(one[c]/(total-one[blank])*signs[k]/ofClass[c], n)
		}
	}
	for at := range contexts {
		var p [classes]float64
		last := at % classes
		n2, n3 := sum(two[last][:]), sum(three[at][:])
		for c := range p {
			p[c] = (two[last][c] + lowerCounts*one[c]/total) / (n2 + lowerCounts)
			p[c] = (three[at][c] + lowerCounts*p[c]) / (n3 + lowerCounts)
		}
		l.gap[at] = float32((1-strangers)*p[blank] + strangers*usualEnd)
		l.character[at] = make([]float32, len(tree))
		for k, n := range tree {
			if n.logP > none {
				c := l.class[k]
				l.character[at][k] = mixed(p[c]/(1-p[blank])*signs[k]/ofClass[c], n)
				l.greatest[k] = max(l.greatest[k], l.character[at][k])
			}
		}
	}
	return l
}

// mixed is the probability of a character whose probability in plain language is p, with strangers.
func mixed(p float64, n node) float32 {
	return float32((1-strangers)*p + strangers*math.Exp(float64(n.logP)))
}

func sum(x []float64) (s float64) {
	for _, v := range x {
		s += v
	}
	return s
}

// classesOf returns the classes of a text as it is sent, and the node of each character, -1 for a gap.
func classesOf(text string) (sent []class, nodes []int) {
	text = strings.ReplaceAll(strings.TrimSpace(text), "\n\n", " = ")
	symbols, err := Encode(text)
	if err != nil {
		panic("cw: plain.txt: " + err.Error())
	}
	for _, s := range symbols {
		c, k := blank, -1
		if s.Pattern != 0 {
			k = slices.IndexFunc(tree, func(n node) bool { return n.pattern == s.Pattern })
			c = classOf(k)
		}
		sent, nodes = append(sent, c), append(nodes, k)
	}
	return sent, nodes
}

func classOf(k int) class {
	switch s, _ := Lookup(tree[k].pattern); kindOf(s) {
	case letter:
		return class(s.Text[0] - 'A' + 1)
	case figure:
		return figureClass
	case commonSign:
		return commonClass
	}
	return rareClass
}
