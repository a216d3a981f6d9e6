package main

import (
	"fmt"
	"net/url"
	"os"
	"strings"

	"github.com/spf13/pflag"
)

// A source may carry settings of its own, named as the flags are, which win over these: night.wav?channel=right&dial=4610kHz.

// at is a source's path, and the options with its own settings.
func (o sourceOptions) at(source string) (path string, own sourceOptions, err error) {
	path, err = ownSettings(source, func(f *pflag.FlagSet) {
		own.addFlags(f)
		own = o // the flags have set it to their defaults
	})
	return path, own, err
}

// at is sourceOptions.at.
func (o passbandOptions) at(source string) (path string, own passbandOptions, err error) {
	path, err = ownSettings(source, func(f *pflag.FlagSet) {
		own.addFlags(f)
		own = o
	})
	if err == nil {
		err = own.check()
	}
	return path, own, err
}

// ownSettings takes a source apart and sets the flags that define made. A file of that very name is taken as it is, and
// what else an address knows stays in it.
func ownSettings(source string, define func(*pflag.FlagSet)) (path string, err error) {
	f := pflag.NewFlagSet(source, pflag.ContinueOnError)
	define(f)
	i := strings.LastIndex(source, "?")
	if _, err := os.Stat(source); err == nil || i < 0 {
		return source, nil
	}
	var others []string
	for _, part := range strings.Split(source[i+1:], "&") {
		name, value, _ := strings.Cut(part, "=")
		if f.Lookup(name) == nil {
			if strings.Contains(source[:i], "://") {
				others = append(others, part)
				continue
			}
			near := ""
			if n := nearestFlag(name, f); n != "" {
				near = fmt.Sprintf("; did you mean %s?", n)
			}
			return "", usageError{fmt.Errorf("%s: a source has no setting %q%s", source, name, near)}
		}
		if plain, err := url.PathUnescape(value); err == nil {
			value = plain
		}
		if err := f.Set(name, value); err != nil {
			return "", usageError{fmt.Errorf("%s: %w", source, wrongValue(err))}
		}
	}
	path = source[:i]
	if others != nil {
		path += "?" + strings.Join(others, "&")
	}
	return path, nil
}
