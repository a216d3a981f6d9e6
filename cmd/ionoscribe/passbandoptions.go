package main

import (
	"errors"
	"fmt"

	"ionoscribe/internal/flags"

	"github.com/spf13/pflag"
)

// passbandOptions say what to listen to as a whole, and where on the air that is.
type passbandOptions struct {
	sourceOptions
	sideband string
}

func (o *passbandOptions) addFlags(f *pflag.FlagSet) {
	flags.Under(flags.WhereFrom, f, func(f *pflag.FlagSet) {
		f.StringVar(&o.sideband, "sideband", "upper", "`SIDE` that the receiver hears: upper or lower")
		flags.Choices(f, "sideband", "upper", "lower")
		o.sourceOptions.addFlags(f)
	})
}

func (o passbandOptions) check() error {
	switch {
	case o.sideband != "upper" && o.sideband != "lower":
		return usageError{fmt.Errorf("--sideband %q is neither upper nor lower", o.sideband)}
	case o.tune.set:
		return usageError{errors.New("--tune listens at one frequency, but the whole band is searched; leave it out")}
	}
	return nil
}
