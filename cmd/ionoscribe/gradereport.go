package main

import (
	"bytes"
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"ionoscribe/internal/chartfile"
	"ionoscribe/internal/fault"
	"ionoscribe/internal/grade"
)

func newGradeReportCommand() *cobra.Command {
	var out string
	cmd := &cobra.Command{
		Use:   "report",
		Short: "Write a report of what all decoders reach",
		Long: `Grade all modes, one run after the other, and write FIGURES.md with what each run prints, its command above it, and
pictures of it in the folder figures. The seeds are in the commands: the same program writes the same report.

What each run printed is kept beside the pictures, and a report that was interrupted goes on where it was, unless the
program has changed.

` + statusHelp,
		Example: "  ionoscribe grade report --out reached",
		Args:    cobra.NoArgs,
		RunE: func(c *cobra.Command, _ []string) error {
			if out == "" {
				return usageError{errors.New("--out FOLDER says where the report goes")}
			}
			parts, err := grade.Report()
			if err != nil {
				return err
			}
			return writeReport(c.Context(), parts, out, c.ErrOrStderr())
		},
	}
	cmd.Flags().StringVarP(&out, "out", "o", "", "`FOLDER` for the report")
	return cmd
}

// keptFolder has the pictures and what the runs printed, beside the report.
const keptFolder = "figures"

// writeReport runs what was not run yet, then writes the report.
func writeReport(ctx context.Context, parts []grade.ReportPart, dir string, errs io.Writer) error {
	if err := os.MkdirAll(filepath.Join(dir, keptFolder), 0o777); err != nil {
		return &fault.Error{Op: "make", Path: dir, Err: fault.Cause(err), Mend: "check its folder"}
	}
	program, err := programHash()
	if err != nil {
		return err
	}
	var report bytes.Buffer
	began, ran, runs := time.Now(), 0, len(parts)-1
	for i, p := range parts {
		report.WriteString(p.Text)
		if p.Args == nil {
			continue
		}
		kept := filepath.Join(dir, keptFolder, p.Kept())
		head := program + " " + p.Command() + "\n"
		if b, err := os.ReadFile(kept); err == nil {
			if text, ok := strings.CutPrefix(string(b), head); ok && (p.Plot == "" || exists(filepath.Join(dir, p.Plot))) {
				report.WriteString(text)
				continue
			}
		}
		if isTerminal(errs) {
			left := ""
			if ran > 0 {
				left = fmt.Sprintf(", about %s left", (time.Since(began) / time.Duration(ran) * time.Duration(runs-i)).Round(time.Minute))
			}
			fmt.Fprintf(errs, "\r\x1b[K%d of %d%s: %s\n", i+1, runs, left, p.Command())
		}
		text, err := runForReport(ctx, p, dir, errs)
		if err != nil {
			return err
		}
		if err := chartfile.WriteFile(kept, func(w io.Writer) error { _, err := io.WriteString(w, head+text); return err }); err != nil {
			return err
		}
		report.WriteString(text)
		ran++
	}
	return chartfile.WriteFile(filepath.Join(dir, "FIGURES.md"), func(w io.Writer) error { _, err := report.WriteTo(w); return err })
}

// runForReport is what a run prints.
func runForReport(ctx context.Context, p grade.ReportPart, dir string, errs io.Writer) (string, error) {
	args := p.Args
	if p.Plot != "" {
		args = append(args[:len(args):len(args)], "--plot", filepath.Join(dir, p.Plot))
	}
	var out bytes.Buffer
	cmd := newRootCommand()
	cmd.SetArgs(args)
	cmd.SetOut(&out)
	cmd.SetErr(errs)
	err := cmd.ExecuteContext(ctx)
	if err != nil && !errors.Is(err, errInterrupted) {
		err = fmt.Errorf("%s: %w", p.Command(), err)
	}
	return out.String(), err
}

// programHash tells this build of the program from others.
func programHash() (string, error) {
	path, err := os.Executable()
	if err != nil {
		return "", err
	}
	f, err := os.Open(path)
	if err != nil {
		return "", err
	}
	defer f.Close()
	h := sha256.New()
	if _, err := io.Copy(h, f); err != nil {
		return "", err
	}
	return fmt.Sprintf("%x", h.Sum(nil)[:8]), nil
}

func exists(path string) bool {
	_, err := os.Stat(path)
	return err == nil
}
