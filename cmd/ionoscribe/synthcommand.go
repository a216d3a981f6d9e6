package main

import "github.com/spf13/cobra"

func newSynthCommand() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "synth",
		Short: "Make test signals, or spoil a recording",
		Long: `Make test signals, clean or spoilt. Without a command, with --from, spoil a recording: its signal-to-noise
ratio and levels then refer to all the sound that is in it.

` + pathHelp + "\n\n" + licenceHelp + "\n\n" + statusHelp,
		Example: `  ionoscribe synth --from recording.wav --snr 6 --channel mid-moderate -o spoilt.wav`,
		Args:    onlyCommands,
	}
	var o spoilOptions
	cmd.RunE = func(c *cobra.Command, _ []string) error {
		if o.from == "" {
			return c.Help()
		}
		return runSpoil(c.Context(), o, c.OutOrStdout())
	}
	f := cmd.Flags()
	f.StringVar(&o.from, "from", "", "recording `FILE` to spoil; of several channels the first")
	o.target.addFlags(f, "the recording's name with -spoilt.wav")
	o.path.addFlags(f)
	cmd.AddCommand(newSynthBandCommand())
	cmd.AddCommand(modeCommands(newSynthFaxCommand, newSynthTextCommand)...)
	return cmd
}
