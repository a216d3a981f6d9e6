package main

import (
	"strings"
	"testing"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// Every command parses its flags with their own defaults, shows its help, and says what it is for.
func TestFlagsOfEveryCommand(t *testing.T) {
	for _, c := range commands(newRootCommand()) {
		path := strings.Fields(c.CommandPath())[1:]
		t.Run(strings.Join(path, " "), func(t *testing.T) {
			if c.Short == "" || c.Long == "" {
				t.Error("without a description")
			}
			var args []string
			c.Flags().VisitAll(func(f *pflag.Flag) {
				if f.Usage == "" {
					t.Errorf("--%s is not described", f.Name)
				}
				if strings.Contains(f.Usage, "default:") || f.Value.String() == "+Inf" {
					return // no value stands for the default
				}
				args = append(args, "--"+f.Name+"="+f.Value.String())
			})
			if err := c.ParseFlags(args); err != nil {
				t.Error(err)
			}
			status, out, errs := try(nil, append(path, "--help")...)
			if status != 0 || errs != "" || !strings.Contains(out, "Usage:") {
				t.Errorf("--help: %d %q %q", status, out, errs)
			}
			status, _, errs = try(nil, append(path, "--no-such-flag")...)
			if status != statusUsage || !strings.Contains(errs, "--help") {
				t.Errorf("unknown flag: %d %q", status, errs)
			}
			oneError(t, errs)
		})
	}
}

func TestUsageErrors(t *testing.T) {
	chart := put(t, "chart.wav", recording)
	out := "--out=" + t.TempDir()
	for _, args := range [][]string{
		{"nonsense"},
		{"fax"},
		{"fax", out, "--sideband=left", chart},
		{"fax", out, "--ioc=100", chart},
		{"fax", out, "--lpm=NaN", chart},
		{"fax", out, "--deviation=0.1", chart},
		{"fax", out, "--loss=-1", chart},
		{"fax", out, "--line-start=99999", chart},
		{"fax", out, "--start=yesterday", chart},
		{"fax", out, "--start=2026-03-04", chart, chart},
		{"synth", "fax"},
		{"synth", "fax", "--phasing=round", chart},
		{"synth", "fax", "--sideband=either", chart},
		{"redraw"},
		{"redraw", "--ioc=3", chart},
		{"redraw", "--lpm=3", chart},
		{"demo", "--lines=1000000000"},
		{"demo", "one"},
	} {
		status, _, errs := try(nil, args...)
		if status != statusUsage {
			t.Errorf("%v: status %d: %s", args, status, errs)
		}
		oneError(t, errs)
	}
}

func TestExitStatusesStandInTheHelp(t *testing.T) {
	for _, c := range []*cobra.Command{newRootCommand(), newFaxCommand(), newSynthFaxCommand(), newRedrawCommand()} {
		for _, s := range []string{"0", "1", "2", "3", "130"} {
			if !strings.Contains(c.Long, s+" ") {
				t.Errorf("%s: status %s is not explained", c.Name(), s)
			}
		}
	}
}
