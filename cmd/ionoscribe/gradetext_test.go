package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"io"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"ionoscribe/demod"
	"ionoscribe/internal/grade"
	"ionoscribe/internal/theory"
	"ionoscribe/samples"
)

// toyMode sends letters as a constant each, a sample a letter, which a receiver without noise reads by rounding. Of
// ten letters it misreads one.
func toyMode() grade.TextMode {
	return grade.TextMode{
		Name: "toy", Title: "toy mode", SampleRate: 1000,
		Message: func(rng *rand.Rand, n int) string { return strings.Repeat("ABCDEFGHIJ", n/10) },
		Send: func(message string, _ *rand.Rand) (grade.TextSignal, error) {
			x := make(tape, len(message))
			for i, c := range []byte(message) {
				x[i] = float32(c)
			}
			return grade.TextSignal{Source: &x, Power: 70 * 70}, nil
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
	}
}

type tape []float32

func (*tape) SampleRate() float64 { return 1000 }

func (t *tape) ReadSamples(dst []float32) (int, error) {
	n := copy(dst, *t)
	*t = (*t)[n:]
	if n == 0 && len(dst) > 0 {
		return 0, io.EOF
	}
	return n, nil
}

func gradeToy(ctx context.Context, args ...string) (string, error) {
	var out bytes.Buffer
	cmd := newGradeTextCommand(toyMode(), "60")
	cmd.SetArgs(args)
	cmd.SetOut(&out)
	cmd.SetErr(io.Discard)
	cmd.SilenceErrors, cmd.SilenceUsage = true, true
	err := cmd.ExecuteContext(ctx)
	return out.String(), err
}

func TestGradeText(t *testing.T) {
	plot := filepath.Join(t.TempDir(), "errors.png")
	out, err := gradeToy(t.Context(), "--characters=600", "--length=100", "--noise=1", "--plot", plot)
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(strings.TrimSpace(out), "\n")
	if f := strings.Fields(lines[2]); len(lines) != 9 || !slices.Equal(f[:3], []string{"60", "600", "10.0"}) || f[len(f)-1] != "10.0" {
		t.Error(out)
	}
	if !strings.HasPrefix(lines[5], "0.9 to 0.95         600  0.900   0.900") || !strings.Contains(lines[8], "characters a minute of pure noise") {
		t.Error(out)
	}
	if b, err := os.ReadFile(plot); err != nil || !bytes.HasPrefix(b, []byte("\x89PNG")) {
		t.Error(err)
	}

	out, err = gradeToy(t.Context(), "--characters=150", "--length=100", "--noise=2", "--json", "--channel=mid-quiet", "--snr=60,50")
	if err != nil || strings.Count(out, "\n") != 5 {
		t.Fatal(err, out)
	}
	var trials []map[string]any
	for line := range strings.Lines(out) {
		var v map[string]any
		must(t, json.Unmarshal([]byte(line), &v))
		trials = append(trials, v)
	}
	if g := trials[1]; g["mode"] != "toy" || g["channel"] != "mid-quiet" || g["snr_db"] != 60.0 || g["trial"] != 2.0 || g["sent"] != 100.0 || g["calibration"] == nil {
		t.Error(out)
	}
	if trials[4]["noise_trial"] != 1.0 {
		t.Error(out)
	}
}

func TestGradeTextUsage(t *testing.T) {
	for _, arg := range []string{"--length=0", "--length=6000", "--characters=0", "--characters=100000000", "--noise=-1", "--noise=NaN",
		"--channel=stormy", "--snr=x", "--plot=x"} {
		out, err := gradeToy(t.Context(), arg)
		if status(err) != statusUsage || out != "" {
			t.Errorf("%s: %v %s", arg, err, out)
		}
	}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if _, err := gradeToy(ctx); !errors.Is(err, errInterrupted) {
		t.Error(err)
	}
}
