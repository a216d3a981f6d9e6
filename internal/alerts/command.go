package alerts

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"os/exec"
	"strings"
	"time"

	"ionoscribe/internal/fault"
)

// command runs a program for each message, without a shell.
type command struct {
	arguments []string // {summary} and {rule} are filled in
	folder    string   // in which it runs
}

// endWait is for what a program that was killed leaves behind on its outputs.
const endWait = time.Second

// Send gives the program the message as JSON on its input. Its reply is what it prints; an exit status other than 0 is a failure.
func (c command) Send(ctx context.Context, m Message) (string, error) {
	input, err := json.Marshal(m)
	if err != nil {
		return "", notSent{err}
	}
	fill := strings.NewReplacer("{summary}", m.Summary, "{rule}", m.Rule)
	filled := make([]string, len(c.arguments))
	for i, a := range c.arguments {
		filled[i] = fill.Replace(a)
	}
	run := exec.CommandContext(ctx, c.arguments[0], filled[1:]...)
	run.Dir = c.folder
	run.Stdin = bytes.NewReader(append(input, '\n'))
	run.WaitDelay = endWait
	var out beginning
	run.Stdout, run.Stderr = &out, &out
	if err := run.Start(); err != nil {
		return "", notSent{fmt.Errorf("the command does not start: %w", err)}
	}
	err = run.Wait()
	reply := fault.OneLine(string(out))
	var exit *exec.ExitError
	if err != nil && !errors.As(err, &exit) && run.ProcessState != nil && run.ProcessState.Success() {
		// It did not read its input, or left a program behind that holds its outputs: it is content.
		err = nil
	}
	if err != nil {
		return reply, fmt.Errorf("%s: %w: %s", c.arguments[0], err, said(reply))
	}
	return said(reply), nil
}

func said(reply string) string {
	if reply == "" {
		return "done, without a word"
	}
	return reply
}

// beginning keeps the first bytes that are written.
type beginning []byte

func (b *beginning) Write(p []byte) (int, error) {
	*b = append(*b, p[:min(len(p), max(0, longestReply-len(*b)))]...)
	return len(p), nil
}

// desktop shows a message where there is a desktop, by the program that freedesktop.org's systems have for it.
func desktop(folder string) Way {
	return command{[]string{"notify-send", "--app-name=Ionoscribe", "--", "{summary}", "{rule}"}, folder}
}
