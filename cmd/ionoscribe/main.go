// Command ionoscribe turns the audio of an HF receiver into weather charts and text.
//
//	SOURCE ─ source.go ─► blocks ─ receive.go ─► fax.Decoder ─► chart ─ fax.go ─► files, a line each on stdout
//	                     │           └ textcommand.go, textreceive.go ─► decoder ─► characters ─ textprinter.go ─► stdout, log
//	                     │                         └ wide.go ─► copydesk ─► the same, of all in a band
//	                     └ passband.go ─► survey.go ─► table, picture
//	                                    └ copy.go ─► copydesk ─► internal/filing ─► charts, text, stdout
//	PICTURE, TEXT ─ synth.go, synthtextmode.go ─► transmission → path.go ─► WAV              fax: demo.go joins both
//	.video ─ redraw.go ─► picture
//
// modes.go makes commands of the list of modes: what prints text is an adapter's (internal/mode), what draws charts is here.
// main.go has the exit statuses and the signals, progress.go the line on a terminal, flags.go what the help says of flags.
package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"strings"
	"sync/atomic"
	"syscall"
	"time"

	"github.com/spf13/cobra"

	"ionoscribe/internal/fault"
)

// Exit statuses; they stand in the help.
const (
	statusOK          = 0
	statusFailed      = 1
	statusUsage       = 2
	statusNoChart     = 3
	statusInterrupted = 130 // 128 + SIGINT, what shells report (common practice)
)

const statusHelp = `Exit status: 0 all is well, 1 something could not be read or written (what was received is kept),
2 the command line is wrong, 3 nothing was found, 130 interrupted (what was received is kept).`

var (
	errNoChart     = errors.New("no chart was found")
	errInterrupted = errors.New("interrupted")
)

// usageError is a mistake in the command line.
type usageError struct{ error }

func main() {
	// A closed standard output shall be an error of the write, not the end of the program: charts are saved all
	// the same.
	signal.Ignore(syscall.SIGPIPE)
	os.Exit(run(untilSignal(os.Stderr), os.Args[1:], os.Stdin, os.Stdout, os.Stderr))
}

// untilSignal ends with the first signal to end the program, which then saves what it has received. That may take a minute,
// while a chart is drawn, so a second one only asks, and one more within askSeconds ends the program at once. A terminal that
// closes sends SIGHUP twice, once from the system and once from the shell, so that one is never taken for the second. Who
// starts the program with SIGHUP ignored, as nohup does, wants it to go on; and so does a command that rereads at it.
func untilSignal(errs io.Writer) context.Context {
	ctx, cancel := context.WithCancel(context.Background())
	came := make(chan os.Signal, 1)
	signal.Notify(came, os.Interrupt, syscall.SIGTERM)
	if !signal.Ignored(syscall.SIGHUP) {
		signal.Notify(came, syscall.SIGHUP)
	}
	go func() {
		for s := range came {
			if s != syscall.SIGHUP || !rereadsAtHangUp.Load() {
				break
			}
		}
		cancel()
		var asked time.Time
		for s := range came {
			switch {
			case s == syscall.SIGHUP:
			case endsSoon.Load() || time.Since(asked) < askSeconds*time.Second:
				os.Exit(statusInterrupted)
			default:
				asked = time.Now()
				fmt.Fprintf(errs, "\nionoscribe: saving what was received; once more within %d s ends at once, without it\n", askSeconds)
			}
		}
	}()
	return ctx
}

const askSeconds = 5

// endsSoon is set by a command that ends within seconds anyway: a second signal ends it at once, and it need not be asked.
var endsSoon atomic.Bool

// rereadsAtHangUp is set by a command for which SIGHUP means to read its configuration again.
var rereadsAtHangUp atomic.Bool

// run is the whole program.
func run(ctx context.Context, args []string, in io.Reader, out, errs io.Writer) int {
	cmd := newRootCommand()
	cmd.SetArgs(args)
	cmd.SetIn(in)
	cmd.SetOut(out)
	cmd.SetErr(errs)
	err := cmd.ExecuteContext(ctx)
	for _, e := range lines(err) {
		fmt.Fprintf(errs, "ionoscribe: %s\n", e)
	}
	return status(err)
}

func newRootCommand() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "ionoscribe",
		Short: "Turn HF receiver audio into weather charts and text",
		Long: `Ionoscribe turns the audio of an HF receiver into weather charts (` + strings.Join(titles(modesThat(drawsCharts)), ", ") + `) and text (` +
			strings.Join(titles(modesThat(printsText)), ", ") + `).

Begin with "ionoscribe demo". Received charts are not for navigation: check official sources.

` + statusHelp,
		SilenceErrors: true,
		SilenceUsage:  true,
		Args:          onlyCommands,
		RunE:          func(c *cobra.Command, _ []string) error { return c.Help() },
	}
	cmd.SetFlagErrorFunc(func(c *cobra.Command, err error) error { return usage(c, flagError(c, err)) })
	cmd.SetUsageTemplate(usageTemplate)
	cmd.AddCommand(newDemoCommand(), newSynthCommand(), newRedrawCommand(), newCombineCommand(), newSurveyCommand(), newCopyCommand(), newWatchCommand(), newFindCommand(), newProgrammeCommand(), newGradeCommand(),
		newVersionCommand(), newManualCommand())
	cmd.AddCommand(modeCommands(newFaxCommand, newReceiveTextCommand)...)
	for _, c := range commands(cmd) {
		if check := c.Args; check != nil {
			c.Args = func(c *cobra.Command, args []string) error { return usage(c, check(c, args)) }
		}
		completeFlags(c)
	}
	return cmd
}

// commands lists a command and all below it.
func commands(cmd *cobra.Command) []*cobra.Command {
	all := []*cobra.Command{cmd}
	for _, c := range cmd.Commands() {
		all = append(all, commands(c)...)
	}
	return all
}

func usage(c *cobra.Command, err error) error {
	if err == nil {
		return nil
	}
	return usageError{fmt.Errorf("%s; see %q", fault.OneLine(err.Error()), c.CommandPath()+" --help")}
}

// lines takes joined errors apart; each is one line.
func lines(err error) []string {
	var joined interface{ Unwrap() []error }
	switch {
	case err == nil:
		return nil
	case errors.As(err, &joined):
		var all []string
		for _, e := range joined.Unwrap() {
			all = append(all, lines(e)...)
		}
		return all
	}
	return []string{fault.OneLine(err.Error())}
}

func status(err error) int {
	var wrong usageError
	switch {
	case err == nil:
		return statusOK
	case errors.Is(err, errInterrupted):
		return statusInterrupted
	case errors.As(err, &wrong):
		return statusUsage
	case errors.Is(err, errNoChart), errors.Is(err, errNoText), errors.Is(err, errNoSignal), errors.Is(err, errNoDevice), errors.Is(err, errNothingExpected), errors.Is(err, errNothingFound):
		return statusNoChart
	}
	return statusFailed
}
