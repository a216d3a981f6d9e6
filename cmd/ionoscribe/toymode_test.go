package main

import (
	"context"
	"encoding/json"
	"errors"
	"io"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/spf13/pflag"

	"ionoscribe/demod"
	"ionoscribe/internal/grade"
	"ionoscribe/internal/mode"
	"ionoscribe/internal/modes"
	"ionoscribe/internal/theory"
	"ionoscribe/samples"
)

// toy is a mode that no line of the program knows. It sends a sample of full level, then each letter as a sample of a level of
// its own, which a receiver without noise reads by rounding. Graded, it misreads one of ten letters.
func toy() *mode.Mode {
	return &mode.Mode{
		Name: "toy", Title: "toy mode",
		Fields:     func(s mode.Settings) any { return map[string]int{"toys": int(s.(toySettings))} },
		NewDecoder: (&toyReceiver{}).NewDecoder,
		AudioHz:    1200,
		Invent: func(b mode.Brief) (mode.Invented, error) {
			text := b.Text(int(10 * b.Seconds))
			s := &tape{letters: text, rate: b.SampleRate, amplitude: 1, hold: int(b.SampleRate / 10)}
			return mode.Invented{Sound: s, Hz: 1200, Settings: toySettings(3), Text: text}, nil
		},
		RoomHz: 300,
		Beside: func(hz float64) func(float64, uint64) (samples.Signal, error) { return samples.CarrierAt(hz) },
		Text: &mode.Text{
			Receive: func() mode.Receiver { return &toyReceiver{} },
			Send:    func() mode.Sender { return &toySender{} },
			Grade:   func() mode.Grader { return &toyGrader{} },
			HzKey:   "toy_hz",
		},
	}
}

// withToy appends it to the modes for the time of a test.
func withToy(t *testing.T) {
	t.Helper()
	before := modes.All
	modes.All = append(before[:len(before):len(before)], toy())
	t.Cleanup(func() { modes.All = before })
}

type toySettings int

func (toySettings) String() string { return "three toys" }
func (toySettings) Short() string  { return "3" }

type toyReceiver struct{ whisper bool }

func (*toyReceiver) Help() mode.Help {
	return mode.Help{Short: "Print toys", Long: "Print toys.\n\nThey are loud.", Example: "  ionoscribe toy -"}
}
func (r *toyReceiver) AddFlags(f *pflag.FlagSet) {
	f.BoolVar(&r.whisper, "whisper", false, "print small letters")
}
func (*toyReceiver) All() bool      { return false }
func (*toyReceiver) Anywhere() bool { return false }
func (r *toyReceiver) NewDecoder(_ mode.Order, t mode.Told) (mode.Decoder, error) {
	return &toyDecoder{told: t, whisper: r.whisper}, nil
}

type toyDecoder struct {
	told    mode.Told
	whisper bool
	at      int64
	full    float32
}

func (d *toyDecoder) Write(block []float32) {
	for _, v := range block {
		text := string(rune(v/d.full*128 + 0.5))
		if d.whisper {
			text = strings.ToLower(text)
		}
		switch {
		case d.full != 0:
			d.told.Text(mode.Heard{At: d.at, Text: text, Confidence: 0.9, Fields: map[string]string{"text": text}})
		case v != 0:
			d.full = v
			d.told.State(mode.Heard{At: d.at, Hz: 1200, Words: "a toy", Settings: toySettings(3), Fields: struct{}{}})
		}
		d.at++
	}
}

func (*toyDecoder) Flush() {}

type toySender struct{ rate float64 }

func (*toySender) Help() mode.Help {
	return mode.Help{Short: "Send toys", Long: "Send toys.", Example: "  ionoscribe synth toy TEXT"}
}
func (s *toySender) AddFlags(f *pflag.FlagSet) { f.Float64Var(&s.rate, "rate", 8000, "`Hz`") }
func (s *toySender) SampleRate() float64       { return s.rate }
func (s *toySender) Sound(text string, amplitude float64, _ uint64) (mode.Sound, error) {
	if strings.Contains(text, "#") {
		return nil, errors.New("toys have no #")
	}
	return &tape{letters: "\x80" + text, rate: s.rate, amplitude: amplitude, hold: 1}, nil
}

type toyGrader struct{}

func (*toyGrader) Help() mode.Help         { return mode.Help{Long: "Toys are cheap."} }
func (*toyGrader) SNRs() string            { return "60" }
func (*toyGrader) AddFlags(*pflag.FlagSet) {}
func (*toyGrader) Mode() (grade.TextMode, error) {
	return grade.TextMode{
		Name: "toy", Title: "toy mode", SampleRate: 1000,
		Message: func(rng *rand.Rand, n int) string { return strings.Repeat("ABCDEFGHIJ", n/10) },
		Send: func(message string, _ *rand.Rand) (grade.TextSignal, error) {
			return grade.TextSignal{Source: &tape{letters: message, rate: 1000, amplitude: 128, hold: 1}, Power: 70 * 70}, nil
		},
		Receive: func(src demod.SampleReader) ([]grade.HeardChar, error) {
			x, err := samples.ReadAll(src)
			var heard []grade.HeardChar
			for i, v := range x {
				if r := rune(v + 0.5); r > 0 {
					heard = append(heard, grade.HeardChar{Rune: max(r, 'B'), At: float64(i) / 1000, Confidence: 0.9})
				}
			}
			return heard, err
		},
		Theory: func(*samples.Channel) []theory.Curve {
			return []theory.Curve{{Name: "a tenth", At: func(float64) float64 { return 0.1 }}}
		},
	}, nil
}

// tape is sound: each letter is held for some samples.
type tape struct {
	letters         string
	rate, amplitude float64
	hold, at        int
}

func (t *tape) SampleRate() float64 { return t.rate }
func (t *tape) Power() float64      { return t.amplitude * t.amplitude / 2 }
func (t *tape) Duration() float64   { return float64(len(t.letters)*t.hold) / t.rate }

func (t *tape) ReadSamples(dst []float32) (n int, err error) {
	for ; n < len(dst); n++ {
		if t.at >= len(t.letters)*t.hold {
			return n, io.EOF
		}
		dst[n] = float32(t.amplitude * float64(t.letters[t.at/t.hold]) / 128)
		t.at++
	}
	return n, nil
}

// A mode that is in the list gets every command.
func TestToy(t *testing.T) {
	withToy(t)
	status, wav, errs := try(nil, "synth", "toy", "LOUD AND CLEAR", "-o", "-")
	if status != 0 || errs != "" {
		t.Fatal(status, errs)
	}
	log := filepath.Join(t.TempDir(), "log")
	status, out, errs := try([]byte(wav), "toy", "--whisper", "--table", "--start=2026-03-04T12:00:00Z", "--log", log, "-")
	if status != 0 || errs != "" || out != "* 12:00:00Z  a toy\nloud and clear\n" {
		t.Errorf("%d %q %q", status, out, errs)
	}
	if b, err := os.ReadFile(log); err != nil || string(b) != "2026-03-04T12:00:00Z  loud and clear\n" {
		t.Errorf("%q %v", b, err)
	}
	_, out, _ = try([]byte(wav), "toy", "--json", "--dial=1MHz", "--start=2026-03-04T12:00:00Z", "-")
	first, _, _ := strings.Cut(out, "\n")
	if want := `{"source":"-","event":"signal","utc":"2026-03-04T12:00:00.000Z","seconds":0,"time_from":"ordered","air_hz":1001200,"toy_hz":1200}`; first != want ||
		!strings.Contains(out, `"event":"char",`) || !strings.Contains(out, `"text":"L"`) {
		t.Errorf("%q", out)
	}
	// The toy beside another signal is a carrier.
	_, carrier, _ := try(nil, "synth", "toy", "LOUD", "--other=carrier,3,1000", "-o", "-")
	if status, other, errs := try(nil, "synth", "toy", "LOUD", "--other=toy,3,1000", "-o", "-"); status != 0 || other != carrier || other == wav {
		t.Error(status, errs)
	}
	for args, want := range map[string]string{
		"--help": "text (toy mode, radioteletype, Morse)", "toy --help": "Print toys.\n\nSOURCE is", "synth --help": "Send toys", "synth toy --help": "Send toys. TEXT is",
		"synth fax --help": "carrier, toy, rtty, cw or speech", "synth band --help": "--toy NUMBER", "grade toy --help": "Toys are cheap.",
	} {
		if _, out, _ := try(nil, strings.Fields(args)...); !strings.Contains(out, want) {
			t.Errorf("%s: %q is not in %q", args, want, out)
		}
	}
	for args, want := range map[string]string{"synth toy #": "toys have no #", "synth band --toy=101": "within 0 and 100"} {
		if status, _, errs := try(nil, strings.Fields(args)...); status != statusUsage || !strings.Contains(errs, want) {
			t.Errorf("%s: %d %q", args, status, errs)
		}
	}
}

func TestToyInBand(t *testing.T) {
	withToy(t)
	dir := t.TempDir()
	list := filepath.Join(dir, "list.json")
	status, _, errs := try(nil, "synth", "band", "--minutes=1", "--rate=12000", "--cw=1", "--rtty=0", "--fax=0", "--toy=2", "--list", list, "-o", filepath.Join(dir, "band.wav"))
	if status != 0 || errs != "" {
		t.Fatal(status, errs)
	}
	b, err := os.ReadFile(list)
	must(t, err)
	var plan struct {
		Transmissions []struct {
			Kind string
			Hz   float64
			Toys int
			Text string
		}
	}
	must(t, json.Unmarshal(b, &plan))
	toys := 0
	for _, x := range plan.Transmissions {
		if x.Kind == "toy" && x.Toys == 3 && len(x.Text) > 300 && math.Abs(x.Hz) < 6000 {
			toys++
		}
	}
	if toys != 2 || len(plan.Transmissions) != 3 {
		t.Errorf("%s", b)
	}
}

func gradeToy(ctx context.Context, args ...string) (status int, out string) {
	var o strings.Builder
	status = run(ctx, append([]string{"grade", "toy"}, args...), nil, &o, io.Discard)
	return status, o.String()
}
