package navtex

import (
	"strings"
	"testing"

	"ionoscribe/internal/mode"
	"ionoscribe/samples"
)

const rate = 8000

// recording is a message that is sent twice, in noise.
func recording(t *testing.T, preamble, text string) []float32 {
	t.Helper()
	s := &sender{preamble: preamble, times: 2, pauseSeconds: 15}
	s.ModeBConfig.SampleRate = rate
	sound, err := s.Sound(text, 0.5, 1)
	if err != nil {
		t.Fatal(err)
	}
	n, err := samples.NewNoise(sound, samples.NoiseConfig{SNRdB: 0, SignalPower: sound.Power(), Seed: 1})
	if err != nil {
		t.Fatal(err)
	}
	x, err := samples.ReadAll(n)
	if err != nil {
		t.Fatal(err)
	}
	return x
}

// printed is what a receiver prints of samples, in blocks of a size.
func printed(t *testing.T, r *receiver, x []float32, block int) string {
	t.Helper()
	var b strings.Builder
	d, err := r.NewDecoder(mode.Order{SampleRate: rate}, mode.Told{Text: func(h mode.Heard) { b.WriteString(h.Text) }})
	if err != nil {
		t.Fatal(err)
	}
	for len(x) > 0 {
		n := min(block, len(x))
		d.Write(x[:n])
		x = x[n:]
	}
	d.Flush()
	return b.String()
}

// A message is printed once, and again only with --all; one that is mandatory always is; what is not wanted is not.
func TestMessages(t *testing.T) {
	const text = "WIND SW 8 BACKING S 9 (SOON)"
	caution := "This is no approved receiver and does not replace one.\n"
	warning := "\n!! EB07, station E: meteorological warning, number 07, mandatory\n" + text + "\n"
	forecast := "\n-- EE07, station E: meteorological forecast, number 07\n" + text + "\n"
	b, e := recording(t, "EB07", text), recording(t, "EE07", text)
	for _, c := range []struct {
		name string
		choice
		x    []float32
		want string
	}{
		{"a warning", choice{}, b, caution + warning},
		{"a warning that is not asked for", choice{subjects: "ce"}, b, caution + warning},
		{"all", choice{all: true}, b, caution + warning + strings.Replace(warning, "mandatory", "mandatory, of 2 receptions, received before", 1)},
		{"a forecast", choice{subjects: "CE"}, e, caution + forecast},
		{"a forecast that is not wanted", choice{subjects: "C"}, e, ""},
	} {
		for _, block := range []int{97, 1 << 20} {
			if got := printed(t, &receiver{choice: c.choice}, c.x, block); got != c.want {
				t.Errorf("%s, blocks of %d: %q", c.name, block, got)
			}
		}
	}
	if got := printed(t, &receiver{any: true}, e, 4096); strings.Count(got, "ZCZC EE07\n"+text+"\nNNNN\n") != 2 {
		t.Errorf("any text: %q", got)
	}
}

func TestWrongOptions(t *testing.T) {
	for _, r := range []*receiver{{choice: choice{subjects: "C3"}}, {any: true, choice: choice{all: true}}, {shift: 10}} {
		if _, err := r.NewDecoder(mode.Order{SampleRate: rate}, mode.Told{}); err == nil {
			t.Errorf("%+v is taken", r)
		}
	}
	for _, s := range []*sender{{preamble: "EA1"}, {preamble: "YA11", times: 1}, {times: 0}, {times: 2, pauseSeconds: -1}} {
		if _, err := s.Sound("TEXT", 0.5, 1); err == nil {
			t.Errorf("%q, %d times, is sent", s.preamble, s.times)
		}
	}
}

// A message is told from radioteletype and Morse, and from noise.
func TestJudge(t *testing.T) {
	j := Mode.NewJudge()
	if v := j.Judge(recording(t, "EB07", "GALE"), rate, nil); !v.Is || v.Confidence < 0.9 {
		t.Errorf("%+v", v)
	}
	teleprinter, err := samples.NewRTTY(samples.RTTYConfig{SampleRate: rate, Text: strings.Repeat("GALE WARNING ", 30), Baud: 100, CentreHz: cutHz})
	if err != nil {
		t.Fatal(err)
	}
	x, err := samples.ReadAll(teleprinter)
	if err != nil {
		t.Fatal(err)
	}
	if v := j.Judge(x, rate, nil); v.Is {
		t.Errorf("radioteletype: %+v", v)
	}
}
