package main

import (
	"errors"
	"fmt"

	"github.com/spf13/pflag"

	"ionoscribe/internal/flags"
)

// textOptions are those of every mode that prints text.
type textOptions struct {
	json  bool
	doubt float64
	log   string
}

func (o *textOptions) addFlags(f *pflag.FlagSet) {
	flags.Under(flags.WhereTo, f, func(f *pflag.FlagSet) {
		f.BoolVar(&o.json, "json", false, "write a JSON object a line for each character and each change of what is received")
		f.Float64Var(&o.doubt, "mark-doubt", 0, "put characters whose `CONFIDENCE`, 0 to 1, is lower between ⌊ and ⌋")
		f.StringVar(&o.log, "log", "", "append the text to `FILE` too, each line after its time in UTC")
	})
}

func (o *textOptions) check() error {
	if !(o.doubt >= 0 && o.doubt <= 1) {
		return usageError{fmt.Errorf("--mark-doubt %g is not within 0 and 1", o.doubt)}
	}
	return nil
}

const textStatusHelp = `Exit status: 0 all is well, 1 something could not be read or written (what was received is printed), 2 the
command line is wrong, 3 no text was received, 130 interrupted (what was received is printed).`

// errNoText says that nothing was received in a mode that prints text.
var errNoText = errors.New("no text was received")
