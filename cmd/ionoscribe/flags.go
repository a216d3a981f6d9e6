package main

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"ionoscribe/internal/flags"
	"ionoscribe/internal/nearest"
	"ionoscribe/internal/quantity"
)

// completeFlags has a shell complete the values of a command's flags: choices, and files where there is one.
func completeFlags(c *cobra.Command) {
	c.LocalFlags().VisitAll(func(x *pflag.Flag) {
		switch value, _ := pflag.UnquoteUsage(x); {
		case x.Annotations[flags.Values] != nil:
			c.RegisterFlagCompletionFunc(x.Name, cobra.FixedCompletions(x.Annotations[flags.Values], cobra.ShellCompDirectiveNoFileComp))
		case value != "FILE" && value != "FOLDER":
			c.RegisterFlagCompletionFunc(x.Name, cobra.NoFileCompletions)
		}
	})
}

// usageTemplate is that of cobra, with flags under their headings.
const usageTemplate = `Usage:
{{- if .Runnable}}
  {{.UseLine}}{{end}}{{if .HasAvailableSubCommands}}
  {{.CommandPath}} COMMAND{{end}}{{if .HasExample}}

Examples:
{{.Example}}{{end}}{{if .HasAvailableSubCommands}}

Commands:{{range .Commands}}{{if .IsAvailableCommand}}
  {{rpad .Name .NamePadding}} {{.Short}}{{end}}{{end}}{{end}}{{flagsByHeading .}}{{if .HasAvailableSubCommands}}

"{{.CommandPath}} COMMAND --help" tells more of a command.{{end}}
`

func init() { cobra.AddTemplateFunc("flagsByHeading", flagsByHeading) }

// flagsByHeading is the part of the help that has a command's flags; those without a heading come last.
func flagsByHeading(c *cobra.Command) string {
	parts := map[string]*pflag.FlagSet{}
	c.LocalFlags().VisitAll(func(x *pflag.Flag) {
		heading := "Flags"
		if h := x.Annotations[flags.Heading]; h != nil {
			heading = h[0]
		}
		if parts[heading] == nil {
			parts[heading] = pflag.NewFlagSet("", pflag.ContinueOnError)
		}
		parts[heading].AddFlag(x)
	})
	if len(parts) > 1 && parts["Flags"] != nil {
		parts["Other flags"] = parts["Flags"]
		delete(parts, "Flags")
	}
	var b strings.Builder
	for _, h := range append(slices.Clone(flags.Headings), "Flags", "Other flags") {
		if f := parts[h]; f != nil && f.HasAvailableFlags() {
			fmt.Fprintf(&b, "\n\n%s:\n%s", h, strings.TrimRight(f.FlagUsages(), " \n"))
		}
	}
	return b.String()
}

// flagError says in a sentence what is wrong with a flag.
func flagError(c *cobra.Command, err error) error {
	var unknown *pflag.NotExistError
	switch {
	case errors.As(err, &unknown) && unknown.GetSpecifiedShortnames() == "":
		if near := nearestFlag(unknown.GetSpecifiedName(), c.Flags()); near != "" {
			return fmt.Errorf("unknown flag --%s; did you mean --%s?", unknown.GetSpecifiedName(), near)
		}
	}
	return wrongValue(err)
}

// onlyCommands refuses what is not the name of a command.
func onlyCommands(c *cobra.Command, args []string) error {
	if len(args) == 0 {
		return nil
	}
	mean := ""
	c.SuggestionsMinimumDistance = 2 // letters
	if near := c.SuggestionsFor(args[0]); len(near) > 0 {
		mean = "; did you mean " + strings.Join(near, " or ") + "?"
	}
	return fmt.Errorf("unknown command %q%s", args[0], mean)
}

// nearestFlag is the flag whose name a misspelt one stands for; "" if none.
func nearestFlag(name string, f *pflag.FlagSet) string {
	var names []string
	f.VisitAll(func(x *pflag.Flag) { names = append(names, x.Name) })
	return nearest.Name(name, names)
}

// wrongValue says in a sentence what is wrong with the value of a flag.
func wrongValue(err error) error {
	var wrong *pflag.InvalidValueError
	if !errors.As(err, &wrong) {
		return err
	}
	x := wrong.GetFlag()
	kind, ok := map[string]string{
		"float64": "is not a number", "int": "is not a whole number", "uint64": "is not a whole number from 0 on",
		"bool": "is neither true nor false", "frequency": quantity.ErrFrequency.Error(),
	}[x.Value.Type()]
	if !ok {
		return err
	}
	return fmt.Errorf("--%s %q %s", x.Name, wrong.GetValue(), kind)
}
