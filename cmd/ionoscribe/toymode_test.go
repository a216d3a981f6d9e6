package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"image/color"
	"io"
	"math"
	"math/cmplx"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
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

// toy is a mode that no line of the program knows, as seesaw is, but not of a pair of tones: a tone that is keyed in cells of 50 ms. A letter is a mark of three cells, a
// gap, five cells for its number in the alphabet, the most significant first and a gap for a space, and two of gap.
func toy() *mode.Mode {
	return &mode.Mode{
		Name: "toy", Title: "toy mode", Colour: color.RGBA{R: 120, G: 120, B: 255, A: 255},
		Fields: func(s mode.Settings) any { return map[string]int{"toys": int(s.(toySettings))} },
		Differ: func(a, b mode.Settings) bool { return a != b },
		Shape: mode.Shape{CutHz: toyHz, GapSeconds: 4, MarginHz: 25, Line: &mode.Line{Fit: func(marks, gaps []float64) (float64, mode.Settings) {
			sum := 0.0
			for _, n := range slices.Concat(marks, gaps) {
				cells := n * mode.CellSeconds / toyCell
				sum += math.Pow(math.Log(cells/max(math.Round(cells), 1)), 2)
			}
			return math.Sqrt(sum / float64(len(marks)+len(gaps))), toySettings(3)
		}}},
		NewJudge:   func() mode.Judge { return toyJudge{} },
		NewDecoder: new(toyReceiver).NewDecoder,
		AudioHz:    toyHz,
		Invent: func(b mode.Brief) (mode.Invented, error) {
			text := toyText(b.Text(int(b.Seconds / toyLetter)))
			s := &tape{levels: toyCells(text), rate: b.SampleRate, hold: toyCell, hz: b.Low, amplitude: 1}
			return mode.Invented{Sound: s, Hz: b.Low, Low: b.Low - 20, High: b.Low + 20, Settings: toySettings(3), Text: text}, nil
		},
		RoomHz: 300,
		Beside: samples.CarrierAt,
		Text: &mode.Text{
			Receive: func() mode.Receiver { return new(toyReceiver) },
			Send:    func() mode.Sender { return new(toySender) },
			Grade:   func() mode.Grader { return toyGrader{} },
			HzKey:   "toy_hz",
		},
	}
}

const (
	toyHz     = 1200.0
	toyCell   = 0.05 // seconds
	toyLetter = 11 * toyCell
)

// toyText is text that can be sent: letters and single spaces. Figures become letters.
func toyText(text string) string {
	text = strings.Map(func(r rune) rune {
		switch {
		case r >= 'A' && r <= 'Z':
			return r
		case r >= '0' && r <= '9':
			return r - '0' + 'A'
		}
		return ' '
	}, text)
	return strings.Join(strings.Fields(text), " ")
}

func toyCells(text string) (cells []float64) {
	for _, c := range []byte(text) {
		cells = append(cells, 1, 1, 1, 0)
		for bit := 4; bit >= 0; bit-- {
			cells = append(cells, float64(c%32>>bit&1)) // a space is 32
		}
		cells = append(cells, 0, 0)
	}
	return cells
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
func (toySettings) Short() string  { return "3 toys" }

// toyJudge believes what comes by the letter.
type toyJudge struct{}

func (toyJudge) Judge(audio []float32, rate float64, _ mode.Settings) mode.Verdict {
	letters := 0
	d, _ := new(toyReceiver).NewDecoder(mode.Order{SampleRate: rate, Hz: toyHz}, mode.Told{Text: func(mode.Heard) { letters++ }})
	d.Write(audio)
	d.Flush()
	return mode.Verdict{Is: float64(letters) > 0.8*float64(len(audio))/rate/toyLetter-1, Settings: toySettings(3), Hz: toyHz, SNR: 20,
		Characters: letters, Sure: 1, Confidence: 1, Work: 500}
}

type toyReceiver struct{ all, whisper bool }

func (*toyReceiver) Help() mode.Help {
	return mode.Help{Short: "Print toys", Long: "Print toys.\n\nThey are loud.", Example: "  ionoscribe toy -"}
}

func (r *toyReceiver) AddFlags(f *pflag.FlagSet) {
	f.BoolVar(&r.all, "all", false, "print every toy")
	f.BoolVar(&r.whisper, "whisper", false, "print small letters")
}

func (r *toyReceiver) All() bool    { return r.all }
func (*toyReceiver) Anywhere() bool { return true }

func (r *toyReceiver) NewDecoder(o mode.Order, t mode.Told) (mode.Decoder, error) {
	d := &toyDecoder{told: t, hz: toyHz, whisper: r.whisper, tick: int(o.SampleRate * toyCell / 5), rate: o.SampleRate}
	if o.Hz != 0 {
		d.hz = o.Hz
	}
	return d, nil
}

// toyDecoder has a level for each fifth of a cell.
type toyDecoder struct {
	told      mode.Told
	hz, rate  float64
	whisper   bool
	tick      int // samples
	n         int // samples so far
	sum       complex128
	most      float64   // level
	levels    []float64 // since the last letter
	receiving bool
}

func (d *toyDecoder) Write(block []float32) {
	for _, v := range block {
		d.sum += complex(float64(v), 0) * cmplx.Exp(complex(0, -2*math.Pi*d.hz/d.rate*float64(d.n)))
		if d.n++; d.n%d.tick == 0 {
			level := cmplx.Abs(d.sum)
			d.most, d.sum = max(d.most, level), 0
			if d.levels = append(d.levels, level); len(d.levels) == 55 {
				d.letter()
			}
		}
	}
}

// letter reads one if there is one at the beginning of the levels, and drops a level otherwise.
func (d *toyDecoder) letter() {
	cells, least, most := 0, math.Inf(1), 0.0 // of the marks, and of the gaps
	for i := 2; i < 55; i += 5 {
		cells <<= 1
		if v := d.levels[i]; v > d.most/2 {
			cells |= 1
			least = min(least, v)
		} else {
			most = max(most, v)
		}
	}
	if cells>>7 != 0b1110 || cells&3 != 0 || d.levels[0] < d.most/4 || least < 3*most { // most of them are noise
		d.levels = d.levels[:copy(d.levels, d.levels[1:])]
		return
	}
	text := " "
	if n := cells >> 2 & 31; n > 0 {
		text = string(rune('@' + n))
	}
	if d.whisper {
		text = strings.ToLower(text)
	}
	h := mode.Heard{At: int64(d.n - 55*d.tick), Hz: d.hz, Settings: toySettings(3), Words: "a toy", Fields: struct{}{}}
	if !d.receiving && d.told.State != nil {
		d.told.State(h)
	}
	d.receiving = true
	h.Text, h.Confidence, h.Fields = text, 1, map[string]string{"text": text}
	d.told.Text(h)
	d.levels = d.levels[:0]
}

func (d *toyDecoder) Flush() {
	d.Write(make([]float32, 55*d.tick)) // what is pending
	*d = toyDecoder{told: d.told, hz: d.hz, rate: d.rate, whisper: d.whisper, tick: d.tick}
}

type toySender struct{ rate float64 }

func (*toySender) Help() mode.Help {
	return mode.Help{Short: "Send toys", Long: "Send toys.", Example: "  ionoscribe synth toy TEXT"}
}
func (s *toySender) AddFlags(f *pflag.FlagSet) { f.Float64Var(&s.rate, "rate", 8000, "`Hz`") }
func (s *toySender) SampleRate() float64       { return s.rate }
func (s *toySender) Sound(text string, amplitude float64, _ uint64) (mode.Sound, error) {
	if toyText(text) != text {
		return nil, errors.New("toys are letters")
	}
	return &tape{levels: toyCells(text), rate: s.rate, hold: toyCell, hz: toyHz, amplitude: amplitude}, nil
}

// toyGrader sends letters as a constant each, a sample a letter, which a receiver without noise reads by rounding. Of
// ten letters it misreads one.
type toyGrader struct{}

func (toyGrader) Help() mode.Help         { return mode.Help{Long: "Toys are cheap."} }
func (toyGrader) SNRs() string            { return "60" }
func (toyGrader) AddFlags(*pflag.FlagSet) {}
func (toyGrader) Mode() (grade.TextMode, error) {
	return grade.TextMode{
		Name: "toy", Title: "toy mode", SampleRate: 1000,
		Message: func(rng *rand.Rand, n int) string { return strings.Repeat("ABCDEFGHIJ", n/10) },
		Send: func(message string, _ *rand.Rand) (grade.TextSignal, error) {
			levels := make([]float64, len(message))
			for i, c := range []byte(message) {
				levels[i] = float64(c)
			}
			return grade.TextSignal{Source: &tape{levels: levels, rate: 1000, amplitude: 1, hold: 0.001}, Power: 70 * 70}, nil
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

// tape is a tone, or a constant of 0 Hz, of levels that are held for so many seconds each.
type tape struct {
	levels                    []float64
	rate, hold, hz, amplitude float64
	at                        int
}

func (t *tape) SampleRate() float64 { return t.rate }
func (t *tape) Power() float64      { return t.amplitude * t.amplitude / 2 }
func (t *tape) Duration() float64   { return float64(len(t.levels)) * t.hold }

func (t *tape) ReadSamples(dst []float32) (n int, err error) {
	held := int(math.Round(t.hold * t.rate))
	for ; n < len(dst); n++ {
		if t.at >= len(t.levels)*held {
			return n, io.EOF
		}
		dst[n] = float32(t.amplitude * t.levels[t.at/held] * math.Cos(2*math.Pi*t.hz/t.rate*float64(t.at)))
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
		"--help": "text (toy mode, radioteletype, mode B (NAVTEX), selective calling, Morse, phase telegraphy (PSK31))", "toy --help": "Print toys.\n\nSOURCE is", "synth --help": "Send toys", "synth toy --help": "Send toys. TEXT is",
		"synth fax --help": "carrier, toy, rtty, navtex, cw, psk31 or speech", "synth band --help": "--toy NUMBER", "grade toy --help": "Toys are cheap.",
	} {
		if _, out, _ := try(nil, strings.Fields(args)...); !strings.Contains(out, want) {
			t.Errorf("%s: %q is not in %q", args, want, out)
		}
	}
	for args, want := range map[string]string{"synth toy #": "toys are letters", "synth band --toy=101": "within 0 and 100"} {
		if status, _, errs := try(nil, strings.Fields(args)...); status != statusUsage || !strings.Contains(errs, want) {
			t.Errorf("%s: %d %q", args, status, errs)
		}
	}
}

// It is sent in busy bands, found and copied there, by the command that receives it too.
func TestToyInBand(t *testing.T) {
	signalsAlone(t)
	withToy(t)
	dir := t.TempDir()
	list, wav := filepath.Join(dir, "list.json"), filepath.Join(dir, "band.wav")
	status, _, errs := try(nil, "synth", "band", "--minutes=1", "--rate=12000", "--cw=1", "--rtty=1", "--fax=0", "--toy=2", "--snr=15,25", "--list", list, "-o", wav)
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
	_, copied, _ := try(nil, "copy", "--iq=normal", "-o", dir, wav)
	_, found, _ := try(nil, "survey", "--iq=normal", wav)
	_, received, _ := try(nil, "toy", "--all", "--whisper", "--table", "--iq=normal", wav)
	toys := 0
	for _, x := range plan.Transmissions {
		if x.Kind != "toy" || x.Toys != 3 {
			continue
		}
		toys++
		got := ""
		for line := range strings.Lines(received) {
			var hz float64
			if _, err := fmt.Sscanf(line, "%f Hz", &hz); err == nil && math.Abs(hz-x.Hz) < 5 {
				got += line[strings.Index(line, "Hz")+4:]
			}
		}
		if got = strings.Join(strings.Fields(got), " "); got != strings.ToLower(x.Text) {
			t.Errorf("%g Hz: %q, want %q", x.Hz, got, x.Text)
		}
		files, _ := filepath.Glob(filepath.Join(dir, fmt.Sprintf("*_%.0fHz_toy_band.txt", x.Hz)))
		if text, err := os.ReadFile(strings.Join(files, "")); err != nil || !strings.Contains(string(text), x.Text[:20]) {
			t.Errorf("%v: %q %v", files, text, err)
		}
	}
	if toys != 2 || len(plan.Transmissions) != 4 || strings.Count(found, "  toy  ") != 2 || strings.Count(found, "three toys") != 2 ||
		!strings.Contains(copied, "2 toy") || strings.Count(received, "  a toy") != 2 {
		t.Errorf("%s\n%s\n%s", b, found, copied)
	}
}

func gradeToy(ctx context.Context, args ...string) (status int, out string) {
	var o strings.Builder
	status = run(ctx, append([]string{"grade", "toy"}, args...), nil, &o, io.Discard)
	return status, o.String()
}
