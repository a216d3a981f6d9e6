package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"image/color"
	"io"
	"math"
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
	"ionoscribe/samples"
)

// A mode that is in this file alone is found by the survey, copied into a file, sent, heard beside others, put into a band, printed
// and graded.
func TestSeesawMode(t *testing.T) {
	signalsAlone(t)
	all := modes.All
	modes.All = append(slices.Clone(all), seesaw)
	defer func() { modes.All = all }()
	t.Chdir(t.TempDir())
	run := func(args ...string) string {
		t.Helper()
		status, out, errs := try(nil, args...)
		if status != statusOK {
			t.Fatalf("%v: %d %s", args, status, errs)
		}
		return out
	}
	const text = "GALE WARNING OSTREL SEA WIND SOUTHWEST BACKING SOUTH VISIBILITY GOOD ICE EDGE DRIFTING NORTH"
	run("synth", "seesaw", "--tone", "1500", "--snr", "10", "-o", "seesaw.wav", text)
	if got := run("seesaw", "seesaw.wav"); strings.Join(strings.Fields(got), " ") != text {
		t.Errorf("printed %q", got)
	}
	var found struct {
		Kind string
		Hz   float64
		Baud float64
	}
	if err := json.Unmarshal([]byte(run("survey", "--json", "seesaw.wav")), &found); err != nil || found.Kind != "seesaw" || math.Abs(found.Hz-1600) > 5 || found.Baud != seesawBaud {
		t.Errorf("found %+v, %v", found, err)
	}
	run("copy", "--out", "copies", "seesaw.wav")
	files, err := filepath.Glob("copies/*seesaw*.txt")
	if err != nil || len(files) != 1 {
		t.Fatal(files, err)
	}
	if b, err := os.ReadFile(files[0]); err != nil || !strings.Contains(string(b), "DRIFTING") || !strings.Contains(string(b), "  NORTH\n") {
		t.Errorf("%q, %v", b, err)
	}
	if got := run("grade", "seesaw", "--snr", "10", "--characters", "400"); !strings.Contains(got, "600        0      0 ") {
		t.Error(got)
	}
	run("synth", "rtty", "--other", "seesaw,0,2700", "-o", "beside.wav", "RYRYRY")
	run("synth", "band", "--minutes", "1", "--rate", "12000", "--cw", "0", "--rtty", "0", "--fax", "0", "--seesaw", "1", "--list", "band.json", "-o", "band.wav")
	if b, err := os.ReadFile("band.json"); err != nil || !strings.Contains(string(b), `"kind": "seesaw"`) {
		t.Errorf("%s, %v", b, err)
	}
}

// seesaw is a mode that sends frames of ten elements at a fixed rate by two tones: 110, five bits, their parity, and 0.
var seesaw = &mode.Mode{
	Name: "seesaw", Title: "seesaw", Colour: color.RGBA{R: 90, G: 230, B: 120, A: 255},
	Fields: func(mode.Settings) any {
		return struct {
			Baud float64 `json:"baud"`
		}{seesawBaud}
	},
	Differ: func(mode.Settings, mode.Settings) bool { return false },
	Shape: mode.Shape{
		CutHz: 1500, GapSeconds: 5, Even: true, LeastSure: 0.5, MarginHz: 40,
		Pair: &mode.Pair{
			LeastShiftHz: seesawShiftHz, MostShiftHz: seesawShiftHz,
			Guess: func(float64) mode.Settings { return seesawSettings{} },
			Tones: func(mode.Settings) (float64, float64) { return seesawShiftHz, seesawBaud },
		},
	},
	NewJudge:   func() mode.Judge { return seesawJudge{} },
	NewDecoder: func(o mode.Order, t mode.Told) (mode.Decoder, error) { return &seesawDecoder{order: o, told: t}, nil },
	AudioHz:    1500,
	Invent: func(b mode.Brief) (v mode.Invented, err error) {
		v.Hz, v.Settings = (b.Low+b.High)/2, seesawSettings{}
		v.Low, v.High = v.Hz-seesawShiftHz, v.Hz+seesawShiftHz
		v.Text = b.Text(int(b.Seconds * seesawBaud / seesawFrame))
		v.Sound = seesawSound(v.Text, b.SampleRate, v.Hz, 1)
		return v, nil
	},
	RoomHz: 300, InBand: 0,
	Beside: func(hz float64) func(float64, uint64) (samples.Signal, error) {
		return func(rate float64, _ uint64) (samples.Signal, error) {
			return seesawSound(strings.Repeat("SEESAW ", 500), rate, hz, 1), nil
		}
	},
	Text: &mode.Text{
		Receive: func() mode.Receiver { return seesawReceiver{} },
		Send:    func() mode.Sender { return new(seesawSender) },
		Grade:   func() mode.Grader { return seesawGrader{} },
	},
}

const (
	seesawBaud, seesawShiftHz = 40.0, 200.0
	seesawFrame               = 10 // elements
)

type seesawSettings struct{}

func (seesawSettings) String() string { return "40 Bd" }
func (seesawSettings) Short() string  { return "40 Bd" }

// seesawSignal is a transmission around a frequency.
type seesawSignal struct {
	bits      []bool
	rate, hz  float64
	amplitude float64
	at        int
	phase     float64
}

func seesawSound(text string, rate, hz, amplitude float64) *seesawSignal {
	s := &seesawSignal{rate: rate, hz: hz, amplitude: amplitude}
	for _, c := range text {
		v := 0
		if c >= 'A' && c <= 'Z' {
			v = int(c-'A') + 1
		}
		s.bits = append(s.bits, true, true, false)
		odd := false
		for k := range 5 {
			b := v>>k&1 == 1
			s.bits = append(s.bits, b)
			odd = odd != b
		}
		s.bits = append(s.bits, odd, false)
	}
	s.bits = append(s.bits, false, false) // what follows the last frame
	return s
}

func (s *seesawSignal) SampleRate() float64 { return s.rate }
func (s *seesawSignal) Power() float64      { return s.amplitude * s.amplitude / 2 }
func (s *seesawSignal) Duration() float64   { return float64(len(s.bits)) / seesawBaud }

func (s *seesawSignal) ReadSamples(dst []float32) (int, error) {
	for i := range dst {
		k := int(float64(s.at) / s.rate * seesawBaud)
		if k >= len(s.bits) {
			return i, io.EOF
		}
		hz := s.hz - seesawShiftHz/2
		if s.bits[k] {
			hz = s.hz + seesawShiftHz/2
		}
		s.phase += 2 * math.Pi * hz / s.rate
		dst[i] = float32(s.amplitude * math.Sin(s.phase))
		s.at++
	}
	return len(dst), nil
}

// seesawChar is a character that was received.
type seesawChar struct {
	r  rune
	at int64
}

// seesawReceive finds the frames around a frequency, and by how many of those that there would be they are.
func seesawReceive(x []float32, rate, hz float64) (chars []seesawChar, share float64) {
	const parts = 8 // of an element, at which one may begin
	step := rate / seesawBaud / parts
	n := int(float64(len(x)) / step)
	power := func(hz float64) []float64 { // of elements that begin at each part
		sums := make([]complex128, n)
		for i := range sums {
			for k := int(float64(i) * step); k < int(float64(i+1)*step); k++ {
				sin, cos := math.Sincos(2 * math.Pi * hz / rate * float64(k))
				sums[i] += complex(float64(x[k])*cos, float64(x[k])*sin)
			}
		}
		p := make([]float64, max(n-parts, 0))
		for i := range p {
			var sum complex128
			for _, v := range sums[i : i+parts] {
				sum += v
			}
			p[i] = real(sum)*real(sum) + imag(sum)*imag(sum)
		}
		return p
	}
	low, high := power(hz-seesawShiftHz/2), power(hz+seesawShiftHz/2)
	bit := func(i int) bool { return high[i] > low[i] }
	frame := func(i int) (v int, ok bool) {
		odd := false
		for k := range 5 {
			if bit(i + (3+k)*parts) {
				v |= 1 << k
				odd = !odd
			}
		}
		return v, bit(i) && bit(i+parts) && !bit(i+2*parts) && bit(i+8*parts) == odd && !bit(i+9*parts)
	}
	for phase := range seesawFrame * parts {
		var here []seesawChar
		heard, before := 0, false
		for i := phase; i+seesawFrame*parts <= len(low); i += seesawFrame * parts {
			v, ok := frame(i)
			if ok && before || ok && i+2*seesawFrame*parts <= len(low) && second(frame(i+seesawFrame*parts)) {
				r := ' '
				if v > 0 && v < 27 {
					r = rune('A' + v - 1)
				}
				here = append(here, seesawChar{r, int64(float64(i) * step)})
			}
			before = ok
			heard++
		}
		if len(here) > len(chars) {
			chars, share = here, float64(len(here))/float64(heard)
		}
	}
	return chars, share
}

func second(_ int, ok bool) bool { return ok }

type seesawJudge struct{}

func (seesawJudge) Judge(audio []float32, rate float64, _ mode.Settings) mode.Verdict {
	chars, share := seesawReceive(audio, rate, seesaw.Shape.CutHz)
	return mode.Verdict{Is: share > 0.5, Settings: seesawSettings{}, Hz: seesaw.Shape.CutHz, Characters: len(chars), Sure: share, Confidence: share, Work: 1000}
}

type seesawDecoder struct {
	order mode.Order
	told  mode.Told
	heard []float32
}

func (d *seesawDecoder) Write(block []float32) { d.heard = append(d.heard, block...) }

func (d *seesawDecoder) Flush() {
	hz := d.order.Hz
	if hz == 0 {
		hz = 1600
	}
	chars, _ := seesawReceive(d.heard, d.order.SampleRate, hz)
	for _, c := range chars {
		d.told.Text(mode.Heard{At: c.at, Text: string(c.r), Confidence: 0.9, Fields: struct{}{}})
	}
	d.heard = nil
}

type seesawReceiver struct{}

func (seesawReceiver) Help() mode.Help {
	return mode.Help{Short: "Print seesaw", Long: "Print seesaw."}
}
func (seesawReceiver) AddFlags(*pflag.FlagSet) {}
func (seesawReceiver) All() bool               { return false }
func (seesawReceiver) Anywhere() bool          { return false }
func (seesawReceiver) NewDecoder(o mode.Order, t mode.Told) (mode.Decoder, error) {
	return seesaw.NewDecoder(o, t)
}

type seesawSender struct{ hz float64 }

func (*seesawSender) Help() mode.Help     { return mode.Help{Short: "Send seesaw"} }
func (*seesawSender) SampleRate() float64 { return 12000 }
func (s *seesawSender) AddFlags(f *pflag.FlagSet) {
	f.Float64Var(&s.hz, "tone", 1500, "`Hz` of the lower tone")
}

func (s *seesawSender) Sound(text string, amplitude float64, _ uint64) (mode.Sound, error) {
	if strings.Trim(text, "ABCDEFGHIJKLMNOPQRSTUVWXYZ ") != "" {
		return nil, errors.New("only letters are sent")
	}
	return seesawSound(text, 12000, s.hz+seesawShiftHz/2, amplitude), nil
}

type seesawGrader struct{}

func (seesawGrader) Help() mode.Help         { return mode.Help{} }
func (seesawGrader) SNRs() string            { return "0" }
func (seesawGrader) AddFlags(*pflag.FlagSet) {}
func (seesawGrader) Mode() (grade.TextMode, error) {
	return grade.TextMode{
		Name: seesaw.Name, Title: seesaw.Title, SampleRate: 12000,
		Message: func(r *rand.Rand, n int) string {
			b := make([]byte, n)
			for i := range b {
				b[i] = byte('A' + r.IntN(26))
			}
			return string(b)
		},
		Send: func(message string, _ *rand.Rand) (grade.TextSignal, error) {
			s := seesawSound(message, 12000, 1600, 0.3)
			return grade.TextSignal{Source: s, Power: s.Power()}, nil
		},
		Receive: func(src demod.SampleReader) (heard []grade.HeardChar, err error) {
			x, err := samples.ReadAll(src)
			if err != nil {
				return nil, fmt.Errorf("seesaw: %w", err)
			}
			chars, _ := seesawReceive(x, src.SampleRate(), 1600)
			for _, c := range chars {
				heard = append(heard, grade.HeardChar{Rune: c.r, At: float64(c.at) / src.SampleRate(), Confidence: 0.9})
			}
			return heard, nil
		},
	}, nil
}
