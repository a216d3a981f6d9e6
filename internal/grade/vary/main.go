// Command vary studies constants: it builds the program with one of them changed at a time, runs grade, and prints what that does.
// So no constant has to be a variable to be studied.
//
//	go run ./internal/grade/vary -package cw -constants 'misfitGain|memoryHeard' -factors 0.5,2 \
//		-run 'grade cw --snr -10 --seed 21' -run 'grade cw --hand --snr 10 --channel mid-moderate --seed 21'
//
// It prints a line for each constant: its name and value, and for each run the errors in percent with the constant as it is and
// times each of the factors. Errors are those of characters, or the signals of a survey that are not told as what they are.
package main

import (
	"context"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	if err := run(ctx, os.Args[1:], os.Stdout); err != nil {
		fmt.Fprintln(os.Stderr, "vary:", err)
		os.Exit(1)
	}
}

func run(ctx context.Context, args []string, out io.Writer) error {
	flags := flag.NewFlagSet("vary", flag.ExitOnError)
	dir := flags.String("package", "", "`folder` of the package, from the project's root")
	pattern := flags.String("constants", ".", "regular `expression` of their names, as a whole")
	list := flags.String("factors", "0.5,2", "`numbers` with commas")
	var runs [][]string
	flags.Func("run", "`arguments` of ionoscribe that grade; may be given more than once", func(s string) error {
		runs = append(runs, append(strings.Fields(s), "--json"))
		return nil
	})
	if err := flags.Parse(args); err != nil {
		return err
	}
	names, err := regexp.Compile("^(" + *pattern + ")$")
	if err != nil {
		return err
	}
	var factors []float64
	for _, f := range strings.Split(*list, ",") {
		v, err := strconv.ParseFloat(f, 64)
		if err != nil {
			return fmt.Errorf("factor %q is no number", f)
		}
		factors = append(factors, v)
	}
	if *dir == "" || len(runs) == 0 {
		return errors.New("-package and -run are needed")
	}
	all, err := constants(*dir, names)
	if err != nil {
		return err
	}
	work, err := os.MkdirTemp("", "vary")
	if err != nil {
		return err
	}
	defer os.RemoveAll(work)
	b := builder{work}
	usual, err := b.build(ctx, nil, "")
	if err != nil {
		return err
	}
	before, err := gradeAll(ctx, usual, runs)
	if err != nil {
		return err
	}
	fmt.Fprintf(out, "%-24s %8s  %s\n", "constant", "value", "errors in percent as it is, and times "+*list)
	for _, c := range all {
		if ctx.Err() != nil {
			return ctx.Err()
		}
		columns := make([]string, len(runs))
		for i, v := range before {
			columns[i] = fmt.Sprintf("%5.2f:", v)
		}
		for _, f := range factors {
			text := c.times(f)
			program, err := b.build(ctx, &c, text)
			if err != nil {
				columns[0] += " does not build;"
				continue
			}
			after, err := gradeAll(ctx, program, runs)
			if err != nil {
				return fmt.Errorf("%s = %s: %w", c.name, text, err)
			}
			for i, v := range after {
				columns[i] += fmt.Sprintf(" %5.2f", v)
			}
		}
		fmt.Fprintf(out, "%-24s %8s  %s\n", c.name, c.text, strings.Join(columns, "   "))
	}
	return nil
}

// builder builds the program in a folder.
type builder struct{ work string }

// build makes the program with the literal of a constant replaced; nil: as it is.
func (b builder) build(ctx context.Context, c *constant, text string) (program string, err error) {
	program = filepath.Join(b.work, "ionoscribe")
	args := []string{"build", "-o", program}
	if c != nil {
		changed := filepath.Join(b.work, "changed.go")
		if err := os.WriteFile(changed, c.changed(text), 0o600); err != nil {
			return "", err
		}
		overlay, err := json.Marshal(map[string]map[string]string{"Replace": {c.file: changed}})
		if err != nil {
			return "", err
		}
		name := filepath.Join(b.work, "overlay.json")
		if err := os.WriteFile(name, overlay, 0o600); err != nil {
			return "", err
		}
		args = append(args, "-overlay", name)
	}
	build := exec.CommandContext(ctx, "go", append(args, "./cmd/ionoscribe")...)
	if printed, err := build.CombinedOutput(); err != nil {
		return "", fmt.Errorf("%w: %s", err, printed)
	}
	return program, nil
}

// gradeAll are the errors of all runs in percent.
func gradeAll(ctx context.Context, program string, runs [][]string) (percent []float64, err error) {
	for _, args := range runs {
		cmd := exec.CommandContext(ctx, program, args...)
		cmd.Stderr = os.Stderr
		out, err := cmd.Output()
		if err != nil {
			return nil, fmt.Errorf("%s: %w", strings.Join(args, " "), err)
		}
		v, err := errorsOf(out)
		if err != nil {
			return nil, err
		}
		percent = append(percent, v)
	}
	return percent, nil
}
