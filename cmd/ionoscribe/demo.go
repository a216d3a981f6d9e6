package main

import (
	"context"
	"errors"
	"fmt"
	"image"
	"image/png"
	"io"
	"math"
	"path/filepath"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"ionoscribe/audio"
	"ionoscribe/demod"
	"ionoscribe/internal/chartfile"
	"ionoscribe/internal/grade"
	"ionoscribe/internal/rehearsal"
	"ionoscribe/internal/scenario"
	"ionoscribe/samples"
)

type demoOptions struct {
	out   string
	snr   float64
	lines int

	station bool
	listen  string
	at      string
}

// What spoils the demonstration's signal, apart from noise.
const (
	demoClockPPM    = 38.0 // a sound card that is not a good one: 83 pixels of slant over the chart
	demoTuningError = 17.0 // Hz
)

func newDemoCommand() *cobra.Command {
	var o demoOptions
	cmd := &cobra.Command{
		Use:   "demo",
		Short: "Send an invented chart through noise and receive it",
		Long: `Send the chart of an invented met office as radiofax through noise, with a wrong clock and a receiver
slightly off tune, record it, and receive the chart from the recording. Takes some seconds.

With --station, run an invented station: it hears an invented day at once, and goes on until it is interrupted. Its page is
at http://127.0.0.1:8073.`,
		Example: `  ionoscribe demo
  ionoscribe demo --station`,
		Args: cobra.NoArgs,
	}
	cmd.RunE = func(c *cobra.Command, _ []string) error {
		if o.station {
			if !c.Flags().Changed("out") {
				o.out = "ionoscribe-station"
			}
			return runDemoStation(c.Context(), o, c.OutOrStdout(), c.ErrOrStderr())
		}
		for _, name := range []string{"listen", "at"} {
			if c.Flags().Changed(name) {
				return usageError{fmt.Errorf("--%s is for --station", name)}
			}
		}
		return runDemo(c.Context(), o, c.OutOrStdout(), newProgress(c.ErrOrStderr()))
	}
	o.addFlags(cmd.Flags())
	return cmd
}

func (o *demoOptions) addFlags(f *pflag.FlagSet) {
	f.StringVarP(&o.out, "out", "o", "ionoscribe-demo", "`FOLDER` for the recording and the pictures; of a station, ionoscribe-station")
	f.BoolVar(&o.station, "station", false, "run an invented station")
	f.StringVar(&o.listen, "listen", rehearsal.DemoListen, "`ADDRESS` of the invented station's page")
	f.StringVar(&o.at, "at", "", "`TIME`, UTC, at which the invented station's day ends (default: now)")
	f.Float64Var(&o.snr, "snr", 6, "`DB` of signal over noise in 2500 Hz")
	f.IntVar(&o.lines, "lines", 1200, "`NUMBER` of lines of the chart, 100 to 2000")
}

func runDemo(ctx context.Context, o demoOptions, out io.Writer, p *progress) error {
	if o.lines < 100 || o.lines > 2000 {
		return usageError{fmt.Errorf("--lines %d is not within 100 and 2000", o.lines)}
	}
	undo, err := chartfile.Prepare(o.out)
	if err != nil {
		return err
	}
	defer undo()
	sent := scenario.Chart(scenario.Width, o.lines)
	if err := savePicture(filepath.Join(o.out, "sent.png"), sent); err != nil {
		return err
	}
	recording := filepath.Join(o.out, "recording.wav")
	path := samples.Path{Seed: 1, Clock: samples.ClockConfig{PPM: demoClockPPM}}
	if !math.IsInf(o.snr, 1) {
		path.Noise = &samples.NoiseConfig{SNRdB: o.snr}
	}
	src, err := sendFax(samples.FaxConfig{
		Picture: sent, SampleRate: samples.DefaultSampleRate, CentreHz: samples.DefaultCentreHz + demoTuningError,
	}, path)
	if err != nil {
		return usageError{err}
	}
	w, err := audio.CreateWAV(recording, samples.DefaultSampleRate, audio.S16)
	if err != nil {
		return err
	}
	seconds := float64(o.lines)/2 + 50
	p.begin(recording, int64(seconds*samples.DefaultSampleRate), samples.DefaultSampleRate)
	p.doing = "sending"
	if err := record(ctx, w, shown{src, p}); err != nil {
		return err
	}
	p.clear()

	var chart *chartfile.Chart
	r := receiver{progress: p, chart: func(_ string, c *chartfile.Chart, _, _ string) {
		if chart == nil {
			chart = c
		}
	}}
	if _, err := r.receive(ctx, recording, recording, opening{}); err != nil {
		return err
	}
	if chart == nil {
		return fmt.Errorf("%w in %s; try more --snr", errNoChart, recording)
	}
	received := filepath.Join(o.out, "received.png")
	err = errors.Join(
		chartfile.WriteFile(received, func(w io.Writer) error { return chartfile.EncodePNG(w, chart.Image, chart.Info) }),
		chartfile.WriteFile(chartfile.VideoPath(received), func(w io.Writer) error { return chartfile.EncodeVideo(w, chart) }),
	)
	if err != nil {
		return err
	}
	return printLine(out, demoReport(o, sent, chart))
}

func demoReport(o demoOptions, sent *image.Gray, c *chartfile.Chart) string {
	fidelity, dx, dy := grade.Fidelity(sent, c.Image, 4)
	share := differ(sent, c.Image, dx, dy)
	return fmt.Sprintf(`sent:       %s
on the air: %s (%.1f dB of signal over noise in 2500 Hz)
received:   %s

                     sent     received
lines            %8d     %8d
lines a minute   %8.0f     %8.0f
clock error      %8.1f     %8.1f ppm
tuning error     %8.1f     %8.1f Hz
signal to noise  %8.1f     %8.1f dB
shift            %8d     %8d pixels

Of all pixels %.2f %% have changed between black and white. Fidelity is %.1f dB:
-10 log10(1-r²), where r is the correlation of the two pictures; a blank page has 0 dB.

Receive the recording yourself, or draw the chart again:
  ionoscribe fax %s
  ionoscribe redraw --no-restore %s
`,
		filepath.Join(o.out, "sent.png"), filepath.Join(o.out, "recording.wav"), o.snr, filepath.Join(o.out, "received.png"),
		sent.Rect.Dy(), c.Lines, samples.DefaultLPM, c.LPM, demoClockPPM, c.ClockPPM, demoTuningError, c.TuningHz, o.snr, c.SNR, 0, dx,
		100*share, fidelity,
		filepath.Join(o.out, "recording.wav"), filepath.Join(o.out, "received.png"))
}

// differ is the share of pixels that are on different sides of middle grey, of a picture that is shifted by dx
// to the right and dy down.
func differ(sent, got *image.Gray, dx, dy int) float64 {
	n, wrong := 0, 0
	both := sent.Rect.Intersect(got.Rect.Sub(image.Pt(dx, dy)))
	for y := both.Min.Y; y < both.Max.Y; y++ {
		for x := both.Min.X; x < both.Max.X; x++ {
			n++
			if (sent.GrayAt(x, y).Y < 128) != (got.GrayAt(x+dx, y+dy).Y < 128) {
				wrong++
			}
		}
	}
	return float64(wrong) / float64(max(1, n))
}

func savePicture(path string, m image.Image) error {
	return chartfile.WriteFile(path, func(w io.Writer) error { return png.Encode(w, m) })
}

// shown counts samples in the progress as they are read.
type shown struct {
	demod.SampleReader
	p *progress
}

func (s shown) ReadSamples(dst []float32) (int, error) {
	n, err := s.SampleReader.ReadSamples(dst)
	s.p.add(n)
	return n, err
}
