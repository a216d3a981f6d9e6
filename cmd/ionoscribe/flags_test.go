package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"ionoscribe/internal/flags"
	"ionoscribe/internal/modes/fax"
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
		{"combine", chart},
		{"combine", chart, chart},
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
	for _, c := range []*cobra.Command{newRootCommand(), newFaxCommand(fax.Mode), newSynthFaxCommand(fax.Mode), newRedrawCommand(), newCombineCommand()} {
		for _, s := range []string{"0", "1", "2", "3", "130"} {
			if !strings.Contains(c.Long, s+" ") {
				t.Errorf("%s: status %s is not explained", c.Name(), s)
			}
		}
	}
}

// A misspelt flag is told the nearest one, and a wrong number gets a sentence.
func TestFlagErrors(t *testing.T) {
	for args, want := range map[string]string{
		"rtty --centr 5 x":      `unknown flag --centr; did you mean --centre?; see "ionoscribe rtty --help"`,
		"fax --line-strat=3 x":  `did you mean --line-start?`,
		"rtty --nothing-like x": `unknown flag: --nothing-like;`,
		"rtty --centre abc x":   `--centre "abc" is not a number;`,
		"fax --ioc 5.7 x":       `--ioc "5.7" is not a whole number;`,
		"synth cw --seed -1 x":  `--seed "-1" is not a whole number from 0 on;`,
		"rty x":                 `did you mean`,
	} {
		status, _, errs := try(nil, strings.Fields(args)...)
		if status != statusUsage || !strings.Contains(strings.ToLower(errs), strings.ToLower(want)) {
			t.Errorf("%s: %d %s", args, status, errs)
		}
		oneError(t, errs)
	}
}

// What a command receives, from where and where to stand under headings of their own.
func TestHelpHasHeadings(t *testing.T) {
	for command, want := range map[string][]string{
		"fax":      {flags.WhatToReceive, flags.WhereFrom, flags.WhereTo},
		"rtty":     {flags.WhatToReceive, flags.WhereFrom, flags.WhereTo},
		"cw":       {flags.WhatToReceive, flags.WhereFrom, flags.WhereTo},
		"copy":     {flags.WhereFrom, flags.WhereTo},
		"survey":   {flags.WhereFrom, flags.WhereTo},
		"synth cw": {flags.WhatToSend, flags.TheWay, flags.WhereTo},
	} {
		_, out, _ := try(nil, append(strings.Fields(command), "--help")...)
		at := 0
		for _, heading := range append(want, "Other flags") {
			i := strings.Index(out, "\n"+heading+":\n")
			if i < at {
				t.Errorf("%s: %q is missing or not in its place", command, heading)
			}
			at = i
		}
	}
}

// A shell completes the values of flags: choices, files where there are any, and else nothing (":4" is cobra's
// directive for no files, ":0" for files).
func TestCompletion(t *testing.T) {
	for args, want := range map[string]string{
		"rtty --alphabet":  "ita2\nus\nascii7\nascii8\n:4\n",
		"synth fax --lpm":  "60\n90\n120\n240\n:4\n",
		"rtty --centre":    ":4\n",
		"survey --picture": ":0\n",
	} {
		_, out, _ := try(nil, append([]string{"__complete"}, append(strings.Fields(args), "")...)...)
		if out != want {
			t.Errorf("%s: %q", args, out)
		}
	}
	for _, shell := range []string{"bash", "zsh", "fish", "powershell"} {
		if status, out, errs := try(nil, "completion", shell); status != 0 || !strings.Contains(out, "ionoscribe") || errs != "" {
			t.Errorf("%s: %d %s", shell, status, errs)
		}
	}
}

func TestVersion(t *testing.T) {
	if status, out, errs := try(nil, "version"); status != 0 || !strings.Contains(out, "go1.") || errs != "" {
		t.Errorf("%d %q %q", status, out, errs)
	}
}

// Each command has a page.
func TestManual(t *testing.T) {
	folder := filepath.Join(t.TempDir(), "new", "man1")
	if status, _, errs := try(nil, "manual", folder); status != 0 || errs != "" {
		t.Fatal(status, errs)
	}
	for _, c := range commands(newRootCommand()) {
		page, err := os.ReadFile(filepath.Join(folder, strings.ReplaceAll(c.CommandPath(), " ", "-")+".1"))
		if err != nil || !strings.Contains(string(page), ".TH \"IONOSCRIBE\"") {
			t.Errorf("%s: %v", c.CommandPath(), err)
		}
	}
	status, _, errs := try(nil, "manual", filepath.Join(put(t, "file", nil), "man1"))
	if status != statusFailed || !strings.Contains(errs, "choose another folder") {
		t.Error(status, errs)
	}
}
