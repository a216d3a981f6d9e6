package main

import (
	"context"
	"errors"
	"fmt"
	"image"
	"io"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"ionoscribe/fax/draw"
	"ionoscribe/internal/chartfile"
)

func newCombineCommand() *cobra.Command {
	var out string
	cmd := &cobra.Command{
		Use:   "combine [flags] CHART CHART...",
		Short: "Draw one chart of several copies of it",
		Long: `Draw one chart of several copies of it: of the same broadcast that several receivers heard or that was
heard on several frequencies, or of a chart that was sent again. Each CHART is the .png or the .video of
a copy; the videos must be there, as what is drawn is decided from what was received. The copies may begin
earlier or later and lean; they are laid upon the first. Each counts by its own noise, line by line. In noise two
copies in black and white are as good as one that is some 2.5 dB stronger; greys gain less, and pictures whose
edges can be sharpened are drawn of the best copy alone.

What copies show differently (figures that were brought up to date) is not mixed: there the best copy alone is
drawn, and the places are told. Copies of other charts are refused. The new picture's path goes to standard output.

` + statusHelp,
		Example: `  ionoscribe combine north/20260304T121500Z-120-576.png south/20260304T121501Z-120-576.png`,
		Args:    cobra.MinimumNArgs(2),
		RunE: func(c *cobra.Command, args []string) error {
			return runCombine(c.Context(), out, args, c.OutOrStdout(), c.ErrOrStderr())
		},
	}
	cmd.Flags().StringVarP(&out, "out", "o", "", "`FILE` to draw (default: the first chart's name with -combined)")
	return cmd
}

func runCombine(ctx context.Context, path string, charts []string, out, told io.Writer) error {
	if path == "" {
		path = strings.TrimSuffix(charts[0], filepath.Ext(charts[0])) + "-combined" + chartfile.PictureSuffix
	}
	if err := errors.Join(notOnto(path, charts...), chartfile.PrepareFile(path)); err != nil {
		return err
	}
	for i, name := range charts {
		if slices.Contains(charts[:i], name) {
			return usageError{fmt.Errorf("combine: %s is named twice; a chart tells no more by being read again", name)}
		}
	}
	var copies []*chartfile.Chart
	var early error // what is told of charts whose videos end early
	for _, name := range charts {
		c, err := chartfile.OpenVideo(name)
		if c == nil {
			return err
		}
		early = errors.Join(early, err)
		copies = append(copies, c)
	}
	combined, err := interruptible(ctx, func() (*draw.Combined, error) { return combine(ctx, copies) })
	var other *draw.OtherError
	if errors.As(err, &other) {
		return usageError{fmt.Errorf("combine: %s does not show what %s shows, or one of both is too noisy to tell; name copies of one chart", charts[other.Copy], charts[0])}
	}
	if err != nil {
		return err
	}
	err = chartfile.WriteFile(path, func(w io.Writer) error {
		return chartfile.EncodePNG(w, combined.Image, combinedInfo(copies, charts, combined))
	})
	if err != nil {
		return err
	}
	if len(combined.Differs) > 0 {
		fmt.Fprintf(told, "the copies differ, and the best one alone is drawn, in %s\n", places(combined.Differs))
	}
	return errors.Join(early, printLine(out, path))
}

func combine(ctx context.Context, charts []*chartfile.Chart) (*draw.Combined, error) {
	var copies []draw.Copy
	for _, c := range charts {
		copies = append(copies, draw.Copy{Video: c.Video, Drawing: c.Drawing})
	}
	return draw.Combine(ctx, copies)
}

// combinedInfo is that of the first chart, with its sources and the places in which they differ.
func combinedInfo(charts []*chartfile.Chart, names []string, c *draw.Combined) chartfile.Info {
	info := charts[0].Info
	info.Quality = c.Quality
	info.Source = "combined of " + strings.Join(names, ", ")
	info.Differs = places(c.Differs)
	return info
}

// places names rectangles by lines and columns, from 1.
func places(list []image.Rectangle) string {
	var texts []string
	for _, r := range list {
		texts = append(texts, fmt.Sprintf("lines %d to %d at columns %d to %d", r.Min.Y+1, r.Max.Y, r.Min.X+1, r.Max.X))
	}
	return strings.Join(texts, ", ")
}
