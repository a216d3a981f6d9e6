package main

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"ionoscribe/internal/flags"
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
		if near := nearest(unknown.GetSpecifiedName(), c.Flags()); near != "" {
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

// nearest is the flag whose name differs from a misspelt one by the fewest letters, a third of them at most; "" if none.
func nearest(name string, f *pflag.FlagSet) (near string) {
	least := len(name)/3 + 1
	f.VisitAll(func(x *pflag.Flag) {
		if d := distance(name, x.Name); d < least || d == least && near == "" && least > 0 {
			near, least = x.Name, d
		}
	})
	return near
}

// distance is the number of letters to put in, take out or change (V. I. Levenshtein, 1966).
func distance(a, b string) int {
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := range len(a) {
		last := row[0]
		row[0] = i + 1
		for j := range len(b) {
			d := last
			if a[i] != b[j] {
				d = 1 + min(last, row[j], row[j+1])
			}
			last, row[j+1] = row[j+1], d
		}
	}
	return row[len(b)]
}
