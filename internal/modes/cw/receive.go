package cw

import (
	"github.com/spf13/pflag"

	"ionoscribe/cw"
	"ionoscribe/internal/mode"
)

// receiver has the options of the command that receives.
type receiver struct {
	pitch, wpm float64
	all, plain bool
}

func (*receiver) Help() mode.Help {
	return mode.Help{
		Short: "Print Morse code",
		Long: `Print Morse code from recordings or from what a pipe brings; pitch and speed are found and followed.

One signal is printed as it is heard, some characters late; when it has ended, the next. With
--all every signal from 200 to 3500 Hz is, in lines that begin with its pitch.

With --iq SOURCE is complex, and --tune listens in it; with --all and neither --tune nor --pitch all of its band
is copied, in lines that begin with the frequency from its centre.

With --plain-language English is expected, as much as what is received looks like it: weak signals are
copied with fewer errors, and groups and call signs with hardly more.

Procedure signals are written in angle brackets, with a line over the letters that are run together.`,
		Table: "which signals there are as they come, change and go",
		Example: `  ionoscribe cw recording.wav
  ionoscribe cw --all --log morse.txt recording.wav
  ionoscribe cw --all --iq normal band.wav
  arecord -f S16_LE -r 12000 -t wav | ionoscribe cw -`,
	}
}

func (r *receiver) AddFlags(f *pflag.FlagSet) {
	f.Float64Var(&r.pitch, "pitch", 0, "`HZ` of the signal, 200 to 3500, to within 30 (default: found out)")
	f.Float64Var(&r.wpm, "wpm", 0, "`SPEED` in words a minute, 5 to 60, to within a quarter (default: found out)")
	f.BoolVar(&r.all, "all", false, "print every signal")
	f.BoolVar(&r.plain, "plain-language", false, "expect English besides groups and call signs")
}

func (r *receiver) NewDecoder(o mode.Order, t mode.Told) (mode.Decoder, error) {
	c := cw.Config{PitchHz: r.pitch, WPM: r.wpm, PlainLanguage: r.plain}
	if r.all && o.Hz == 0 && o.Settings == nil { // else this decoder is for one of them
		c.Signals = cw.MaxSignals
	}
	return newDecoder(c, o, t)
}

func (r *receiver) All() bool      { return r.all }
func (r *receiver) Anywhere() bool { return r.pitch == 0 }
