package psk31

import (
	"github.com/spf13/pflag"

	"ionoscribe/internal/flags"
	"ionoscribe/internal/mode"
	"ionoscribe/psk"
)

// receiver has the options of the command that receives.
type receiver struct {
	pitch float64
	all   bool
	qpsk  bool
	set   string
}

func (*receiver) Help() mode.Help {
	return mode.Help{
		Short: "Print phase telegraphy (PSK31)",
		Long: `Print 31 Bd phase telegraphy of two phases (ITU-R M.2034, BPSK) from recordings or from what a pipe brings; the
pitch is found and followed. --qpsk prints signals of four phases in their stead, on either sideband; copy tells both apart.

One signal is printed as it is heard, some characters late; when it has ended, the next. With
--all every signal from 250 to 3600 Hz is, in lines that begin with its pitch.

With --iq SOURCE is complex, and --tune listens in it; with --all and neither --tune nor --pitch all of its band
is copied, in lines that begin with the frequency from its centre.`,
		Table: "which signals there are as they come and go",
		Example: `  ionoscribe psk31 recording.wav
  ionoscribe psk31 --all --log texts.txt recording.wav
  ionoscribe psk31 --all --iq normal band.wav
  arecord -f S16_LE -r 12000 -t wav | ionoscribe psk31 -`,
	}
}

func (r *receiver) AddFlags(f *pflag.FlagSet) {
	f.Float64Var(&r.pitch, "pitch", 0, "`HZ` of the signal, 250 to 3600, to within 100 (default: found out)")
	f.BoolVar(&r.qpsk, "qpsk", false, "print signals of four phases (QPSK) in place of those of two")
	addCharset(f, &r.set)
	f.BoolVar(&r.all, "all", false, "print every signal")
}

// addCharset adds the option that names a character set.
func addCharset(f *pflag.FlagSet, name *string) {
	f.StringVar(name, "charset", psk.DefaultCharset, "`NAME` of the character set that sender and receiver agree on, such as iso-8859-5, koi8-r or utf-8")
	flags.Choices(f, "charset", psk.CharsetNames()...)
}

func (r *receiver) NewDecoder(o mode.Order, t mode.Told) (mode.Decoder, error) {
	c := psk.Config{PitchHz: r.pitch, QPSK: r.qpsk, Charset: r.set}
	if r.all && o.Hz == 0 && o.Settings == nil { // else this decoder is for one of them
		c.Signals = psk.MaxSignals
	}
	return newDecoder(c, o, t)
}

func (r *receiver) All() bool      { return r.all }
func (r *receiver) Anywhere() bool { return r.pitch == 0 }
