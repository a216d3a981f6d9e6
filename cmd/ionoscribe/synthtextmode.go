package main

import (
	"context"
	"io"

	"github.com/spf13/cobra"

	"ionoscribe/internal/flags"
	"ionoscribe/internal/mode"
)

type synthTextOptions struct {
	target targetOptions
	path   pathOptions
	sender mode.Sender
}

// newSynthTextCommand sends text in a mode that prints it.
func newSynthTextCommand(m *mode.Mode) *cobra.Command {
	o := synthTextOptions{sender: m.Text.Send()}
	help := o.sender.Help()
	cmd := &cobra.Command{
		Use:     m.Name + " [flags] TEXT",
		Short:   help.Short,
		Long:    aroundCommon(help.Long, " "+textHelp, "\n") + "\n\n" + pathHelp + "\n\n" + licenceHelp + "\n\n" + statusHelp,
		Example: help.Example,
		Args:    cobra.ExactArgs(1),
	}
	cmd.RunE = func(c *cobra.Command, args []string) error {
		return o.run(c.Context(), args[0], c.InOrStdin(), c.OutOrStdout())
	}
	f := cmd.Flags()
	o.target.addFlags(f, "the text file's name with .wav, or text.wav")
	flags.Under(flags.WhatToSend, f, o.sender.AddFlags)
	o.path.addFlags(f)
	return cmd
}

func (o *synthTextOptions) run(ctx context.Context, arg string, in io.Reader, out io.Writer) error {
	path, err := o.path.path()
	if err != nil {
		return err
	}
	text, name, err := readText(arg, in)
	if err != nil {
		return err
	}
	s, err := o.sender.Sound(text, headroom(&path, o.sender.SampleRate()), o.path.seed)
	if err != nil {
		return usageError{err}
	}
	src, err := path.Through(s, s.Power())
	if err != nil {
		return usageError{err}
	}
	o.target.read = []string{arg}
	return o.target.write(ctx, src, name, out)
}
