package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"ionoscribe/demod"
	"ionoscribe/fax"
	"ionoscribe/internal/audio"
	"ionoscribe/internal/chartfile"
	"ionoscribe/samples"
)

const licenceHelp = "Test signals are for the bench: transmitting them needs a licence."

func newSynthCommand() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "synth",
		Short: "Make test signals",
		Long:  "Make test signals, clean or spoilt.\n\n" + licenceHelp,
		Args:  cobra.NoArgs,
		RunE:  func(c *cobra.Command, _ []string) error { return c.Help() },
	}
	cmd.AddCommand(newSynthFaxCommand())
	return cmd
}

type synthFaxOptions struct {
	out, encoding string
	rate          float64
	ioc           int
	lpm           float64
	deviation     float64
	sideband      string
	phasing       string
	clockError    float64
	tuningError   float64
	snr           float64
	seed          uint64
}

func newSynthFaxCommand() *cobra.Command {
	o := synthFaxOptions{}
	cmd := &cobra.Command{
		Use:   "fax [flags] PICTURE",
		Short: "Send a picture as radiofax into a recording",
		Long: `Send a picture (PNG, JPEG or TIFF) as radiofax into a WAV recording: start tone, phasing, picture, stop
tone. A picture exactly as wide as a line (1810 pixels for index 576, 905 for 288) is sent as it is; any
other is scaled into the line.

` + licenceHelp + "\n\n" + statusHelp,
		Example: `  ionoscribe synth fax chart.png
  ionoscribe synth fax --snr 6 --clock-error 40 --out - chart.png | ionoscribe fax -`,
		Args: cobra.ExactArgs(1),
	}
	cmd.RunE = func(c *cobra.Command, args []string) error {
		return runSynthFax(c.Context(), o, args[0], c.OutOrStdout())
	}
	o.addFlags(cmd.Flags())
	return cmd
}

func (o *synthFaxOptions) addFlags(f *pflag.FlagSet) {
	f.StringVarP(&o.out, "out", "o", "", "`FILE` to write; - is standard output (default: the picture's name with .wav)")
	f.StringVar(&o.encoding, "encoding", string(audio.S16), "`FORM` of the samples: s16le or f32le")
	f.Float64Var(&o.rate, "rate", samples.DefaultSampleRate, "`Hz`: sample rate")
	f.IntVar(&o.ioc, "ioc", samples.DefaultIOC, "`INDEX` of cooperation, 576 or 288")
	f.Float64Var(&o.lpm, "lpm", samples.DefaultLPM, "`LINES` a minute: 60, 90, 120 or 240")
	f.Float64Var(&o.deviation, "deviation", samples.DefaultDeviationHz, "`Hz` from the middle frequency to black and to white; on LF 150")
	f.StringVar(&o.sideband, "sideband", "upper", "`SIDE` that the receiver is set to: upper or lower")
	f.StringVar(&o.phasing, "phasing", "white-pulse", "`FORM` of the phasing lines: white-pulse, black-pulse or halves")
	f.Float64Var(&o.clockError, "clock-error", 0, "`PPM` by which the recording's sample clock is fast")
	f.Float64Var(&o.tuningError, "tuning-error", 0, "`Hz` by which the receiver makes the signal too high")
	f.Float64Var(&o.snr, "snr", math.Inf(1), "`DB` of signal over noise in 2500 Hz (default: no noise)")
	f.Uint64Var(&o.seed, "seed", 1, "`NUMBER` of the noise: the same number makes the same noise")
	f.Lookup("snr").DefValue = "0" // not shown
}

var phasings = map[string]samples.Phasing{
	"white-pulse": samples.WhitePulse, "black-pulse": samples.BlackPulse, "halves": samples.HalfAndHalf,
}

func runSynthFax(ctx context.Context, o synthFaxOptions, picture string, out io.Writer) error {
	side, err := sideband(o.sideband)
	if err != nil || side == fax.Either {
		return usageError{fmt.Errorf("--sideband %q is neither upper nor lower", o.sideband)}
	}
	form, ok := phasings[o.phasing]
	if !ok {
		return usageError{fmt.Errorf("--phasing %q is none of white-pulse, black-pulse, halves", o.phasing)}
	}
	if o.out == "-" && isTerminal(out) {
		return usageError{errors.New("a recording is not for a terminal; send it to a file or a pipe")}
	}
	m, err := chartfile.OpenPicture(picture)
	if err != nil {
		return err
	}
	src, err := transmission{
		FaxConfig: samples.FaxConfig{
			Picture: m, SampleRate: o.rate, IOC: o.ioc, LPM: o.lpm, DeviationHz: o.deviation,
			CentreHz: samples.DefaultCentreHz + o.tuningError, Inverted: side == fax.Lower, Phasing: form,
		},
		clockPPM: o.clockError, snr: o.snr, seed: o.seed,
	}.reader()
	if err != nil {
		return usageError{err}
	}
	if o.out == "-" {
		w, err := audio.NewWAVWriter(out, o.rate, audio.Encoding(o.encoding))
		if err != nil {
			return usageError{err}
		}
		if err = record(ctx, w, src); err != nil && !errors.Is(err, errInterrupted) {
			err = outputError(err)
		}
		return err
	}
	if o.out == "" {
		o.out = strings.TrimSuffix(picture, filepath.Ext(picture)) + ".wav"
	}
	w, err := audio.CreateWAV(o.out, o.rate, audio.Encoding(o.encoding))
	if err != nil {
		return err
	}
	if err := record(ctx, w, src); err != nil {
		return err
	}
	return printLine(out, o.out)
}

// transmission is a radiofax signal and what spoils it.
type transmission struct {
	samples.FaxConfig
	clockPPM float64
	snr      float64 // dB in 2500 Hz; +Inf: no noise
	seed     uint64
}

// reader makes the chain transmission → clock error → noise.
func (s transmission) reader() (demod.SampleReader, error) {
	s.Amplitude = amplitude(s.snr, s.SampleRate)
	f, err := samples.NewFax(s.FaxConfig)
	if err != nil {
		return nil, err
	}
	var src demod.SampleReader = f
	if s.clockPPM != 0 {
		if src, err = samples.NewClockError(src, s.clockPPM); err != nil {
			return nil, err
		}
	}
	if math.IsInf(s.snr, 1) {
		return src, nil
	}
	return samples.NewNoise(src, samples.NoiseConfig{SNRdB: s.snr, SignalPower: f.Power(), Seed: s.seed})
}

// amplitude leaves room for four standard deviations of the noise. That of noise of SNR s over a band of
// rate/2 is A·√(rate/2 / 2500 Hz / 2s).
func amplitude(snr, rate float64) float64 {
	sigma := math.Sqrt(rate / 2 / samples.NoiseBandwidthHz / 2 * math.Pow(10, -snr/10))
	return max(1e-6, min(samples.DefaultAmplitude, 1/(1+4*sigma)))
}

// record writes a signal to its end and closes the recording; an interruption leaves no file.
func record(ctx context.Context, w *audio.WAVWriter, src demod.SampleReader) error {
	buf := make([]float32, 1<<13)
	for ctx.Err() == nil {
		n, err := src.ReadSamples(buf)
		if w.WriteSamples(buf[:n]) != nil || errors.Is(err, io.EOF) {
			return w.Close() // tells the first error
		}
		if err != nil {
			w.Abort()
			return err
		}
	}
	w.Abort()
	return errInterrupted
}
