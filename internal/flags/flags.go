// Package flags has what commands and the adapters of modes say of their flags, for the help and for what a shell completes.
package flags

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"github.com/spf13/pflag"
)

// Annotations of flags.
const (
	Heading = "heading" // of the help
	Values  = "choices" // what a shell completes
)

// The headings under which the help has flags.
const (
	WhatToReceive = "What to receive"
	WhatToFind    = "What to find"
	WhereFrom     = "Where from"
	WhereTo       = "Where to"
	WhatToSend    = "What to send"
	TheWay        = "What happens on the way"
)

// Headings are in the order of the help.
var Headings = []string{WhatToReceive, WhatToFind, WhatToSend, TheWay, WhereFrom, WhereTo}

// Under puts the flags that add defines under a heading, but for those that have one.
func Under(heading string, f *pflag.FlagSet, add func(*pflag.FlagSet)) {
	part := pflag.NewFlagSet("", pflag.ContinueOnError)
	add(part)
	part.VisitAll(func(x *pflag.Flag) {
		if x.Annotations[Heading] == nil {
			annotate(x, Heading, heading)
		}
	})
	f.AddFlagSet(part)
}

// Choices tells what a shell completes behind a flag.
func Choices(f *pflag.FlagSet, name string, values ...string) {
	annotate(f.Lookup(name), Values, values...)
}

func annotate(x *pflag.Flag, key string, values ...string) {
	if x.Annotations == nil {
		x.Annotations = map[string][]string{}
	}
	x.Annotations[key] = values
}

// Numbers reads n finite numbers with commas between.
func Numbers(s string, n int) ([]float64, error) {
	words := strings.Split(s, ",")
	if len(words) != n {
		return nil, fmt.Errorf("%d numbers with commas between are wanted", n)
	}
	v := make([]float64, n)
	for i, w := range words {
		x, err := strconv.ParseFloat(strings.TrimSpace(w), 64)
		if err != nil || math.IsNaN(x) || math.IsInf(x, 0) {
			return nil, fmt.Errorf("%q is no number", w)
		}
		v[i] = x
	}
	return v, nil
}
