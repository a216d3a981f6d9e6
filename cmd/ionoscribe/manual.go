package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"runtime/debug"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/cobra/doc"

	"ionoscribe/internal/fault"
)

func newManualCommand() *cobra.Command {
	return &cobra.Command{
		Use:     "manual DIR",
		Short:   "Write manual pages",
		Long:    "Write manual pages of all commands, for the program man, into the folder DIR, which is made if it is not there.",
		Example: "  ionoscribe manual ~/.local/share/man/man1",
		Args:    cobra.ExactArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			folder := args[0]
			err := os.MkdirAll(folder, 0o777)
			if err == nil {
				root := c.Root()
				root.DisableAutoGenTag = true
				date := buildTime()
				err = doc.GenManTree(root, &doc.GenManHeader{Title: "IONOSCRIBE", Section: "1", Source: "Ionoscribe", Manual: "User commands", Date: &date}, folder)
			}
			if err != nil {
				var path *fs.PathError
				if errors.As(err, &path) {
					err = path.Err
				}
				return &fault.Error{Op: "write manual pages into", Path: folder, Err: err, Mend: "choose another folder"}
			}
			return nil
		},
	}
}

func newVersionCommand() *cobra.Command {
	return &cobra.Command{
		Use:     "version",
		Short:   "Say which version this is",
		Long:    "Say which version of the program this is, from which commit it was built, and with which Go.",
		Example: "  ionoscribe version",
		Args:    cobra.NoArgs,
		RunE: func(c *cobra.Command, _ []string) error {
			return printLine(c.OutOrStdout(), "ionoscribe "+version())
		},
	}
}

// version is what the build tells of itself.
func version() string {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return "of unknown version"
	}
	text := info.Main.Version
	if text == "" {
		text = "(devel)"
	}
	if commit := buildSetting("vcs.revision"); commit != "" {
		text += ", commit " + commit[:min(12, len(commit))]
		if buildSetting("vcs.modified") == "true" {
			text += " with changes"
		}
	}
	return fmt.Sprintf("%s, %s", text, info.GoVersion)
}

// buildTime is that of the commit, so that the same source makes the same pages; of an unknown one it is now.
func buildTime() time.Time {
	if t, err := time.Parse(time.RFC3339, buildSetting("vcs.time")); err == nil {
		return t
	}
	return time.Now()
}

func buildSetting(key string) string {
	if info, ok := debug.ReadBuildInfo(); ok {
		for _, s := range info.Settings {
			if s.Key == key {
				return s.Value
			}
		}
	}
	return ""
}
