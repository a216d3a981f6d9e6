package main

import "github.com/spf13/cobra"

func newGradeCommand() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "grade",
		Short: "Measure how good the decoders are",
		Long:  "Measure how good the decoders are: send, spoil, receive and compare with what was sent.",
		Args:  onlyCommands,
		RunE:  func(c *cobra.Command, _ []string) error { return c.Help() },
	}
	cmd.AddCommand(newGradeSurveyCommand(), newGradeCombineCommand(), newGradeStudyCommand(), newGradeWatchCommand(), newGradeReportCommand())
	cmd.AddCommand(modeCommands(newGradeFaxCommand, newGradeTextCommand)...)
	return cmd
}
