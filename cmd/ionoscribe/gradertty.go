package main

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"ionoscribe/internal/grade"
)

// newGradeRTTYCommand grades radioteletype in one of the cases that have a name.
func newGradeRTTYCommand() *cobra.Command {
	cases := grade.RTTYCases()
	var names, titles []string
	for _, c := range cases {
		names = append(names, c.Name)
		titles = append(titles, fmt.Sprintf("  %-13s %s", c.Name, c.Title))
	}
	var name string
	var drill bool
	cmd := newGradeCasesCommand(grade.RTTY(cases[0]), "-4:-10:-1", func() (grade.TextMode, error) {
		for _, c := range cases {
			if c.Name == name {
				c.Drill = drill
				return grade.RTTY(c), nil
			}
		}
		return grade.TextMode{}, usageError{fmt.Errorf("--case %q is none of %s", name, strings.Join(names, ", "))}
	})
	cmd.Flags().StringVar(&name, "case", cases[0].Name, "`NAME` of what is sent, and through what: "+strings.Join(names, ", "))
	cmd.Flags().BoolVar(&drill, "drill", false, "send groups of five letters and plain text alone, not all that is sent on the air")
	cmd.Long += "\n\nCases; the tuning is wrong by up to ±100 Hz in all:\n\n" + strings.Join(titles, "\n")
	cmd.Example += "\n  ionoscribe grade rtty --case wide --channel mid-disturbed --snr 12"
	return cmd
}
