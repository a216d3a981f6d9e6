package grade

import (
	"context"
	"encoding/json"
	"errors"
	"io"
	"math"
	"math/rand/v2"
	"runtime"
	"slices"
	"strings"
	"testing"

	"ionoscribe/demod"
	"ionoscribe/internal/theory"
	"ionoscribe/internal/trials"
	"ionoscribe/samples"
)

// The toy mode sends each character as one sample with one of 16 levels: pulse-amplitude modulation, whose error
// rate is in every textbook. At 5000 samples a second the noise in 2500 Hz is all the noise there is.
const (
	toyLetters = 16
	toyRate    = 2 * samples.NoiseBandwidthHz
)

// toyPower is that of the levels -15, -13 ... 15 of equal probability: (M²-1)/3.
const toyPower = (toyLetters*toyLetters - 1) / 3.0

func toy(snr float64) TextMode {
	return TextMode{
		Name: "toy", Title: "toy mode", SampleRate: toyRate,
		Message: func(rng *rand.Rand, n int) string {
			b := make([]byte, n)
			for i := range b {
				b[i] = 'A' + byte(rng.IntN(toyLetters))
			}
			return string(b)
		},
		Send: func(message string, _ *rand.Rand) (TextSignal, error) {
			x := make(tape, len(message))
			for i, c := range []byte(message) {
				x[i] = float32(2*int(c-'A') - (toyLetters - 1))
			}
			return TextSignal{Source: &x, Power: toyPower}, nil
		},
		// The receiver knows the SNR, so that its confidences are the probabilities that they should be.
		Receive: func(src demod.SampleReader) ([]HeardChar, error) {
			x, err := samples.ReadAll(src)
			heard := make([]HeardChar, len(x))
			for i, v := range x {
				heard[i] = toyDecide(float64(v), snr)
				heard[i].At = float64(i) / toyRate
			}
			return heard, err
		},
		// Symbol errors of M-PAM: 2(M-1)/M·Q(√(3·SNR/(M²-1))) (Proakis, Digital Communications, section on the
		// error rate of PAM).
		Theory: func(*samples.Channel) []theory.Curve {
			return []theory.Curve{{Name: "PAM", At: func(snr float64) float64 {
				d := math.Sqrt(3 * math.Pow(10, snr/10) / (toyLetters*toyLetters - 1))
				return (toyLetters - 1.0) / toyLetters * math.Erfc(d/math.Sqrt2)
			}}}
		},
	}
}

func toyDecide(v, snr float64) HeardChar {
	variance := toyPower / math.Pow(10, snr/10)
	all, best := 0.0, HeardChar{}
	for i := range toyLetters {
		d := v - float64(2*i-(toyLetters-1))
		p := math.Exp(-d * d / (2 * variance))
		all += p
		if p > best.Confidence {
			best = HeardChar{Rune: rune('A' + i), Confidence: p}
		}
	}
	if all > 0 {
		best.Confidence /= all
	}
	return best
}

type tape []float32

func (*tape) SampleRate() float64 { return toyRate }

func (t *tape) ReadSamples(dst []float32) (int, error) {
	n := copy(dst, *t)
	*t = (*t)[n:]
	if n == 0 && len(dst) > 0 {
		return 0, io.EOF
	}
	return n, nil
}

// The measured error rate and its interval are those of theory, and confidences that are true come out as true.
func TestTextAgainstTheory(t *testing.T) {
	for _, snr := range []float64{24, 26, 28} {
		plan := TextGrades{Mode: toy(snr), SNRs: []float64{snr}, Characters: 60000, Length: 300, Seed: 1}
		var row TextRow
		if err := plan.Run(t.Context(), func(g TextGrade) { row = append(row, g) }); err != nil {
			t.Fatal(err)
		}
		rate, want := row.ErrorRate(), plan.Theory()[0].At(snr)
		c := row.Calibration()
		t.Logf("%g dB: %.3f %% (%.3f to %.3f), theory %.3f; confidences off by %.4f\n%v", snr, 100*rate.Value, 100*rate.Low, 100*rate.High, 100*want, c.Off(), c)
		if !(rate.Low < want && want < rate.High) || rate.High > 1.3*rate.Low {
			t.Errorf("%g dB: %+v, theory says %v", snr, rate, want)
		}
		for _, b := range c.Bins() {
			n := float64(b.Heard)
			mean := b.Sum / n
			if sigma := math.Sqrt(mean * (1 - mean) / n); math.Abs(float64(b.Right)/n-mean) > 4*sigma+1/n {
				t.Errorf("%g dB: bin %+v", snr, b)
			}
		}
		if c.Off() > 0.003 {
			t.Errorf("%g dB: confidences off by %v", snr, c.Off())
		}
	}
}

// The grades are the same on any number of cores, a message does not depend on what else is in the plan, and a
// channel is another trial.
func TestTextGradesFollowFromTheSeed(t *testing.T) {
	run := func(cores int, channel *samples.Channel, snrs ...float64) (objects []string) {
		defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(cores))
		plan := TextGrades{Mode: toy(25), SNRs: snrs, Channel: channel, Characters: 500, Length: 300, Seed: 5}
		if err := plan.Run(t.Context(), func(g TextGrade) {
			b, err := json.Marshal(g)
			if err != nil {
				t.Fatal(err)
			}
			objects = append(objects, string(b))
		}); err != nil {
			t.Fatal(err)
		}
		return objects
	}
	two, one := run(4, nil, 30, 25), run(1, nil, 25)
	if len(two) != 4 || !slices.Equal(two[2:], one) {
		t.Errorf("on four cores\n%s\non one\n%s", strings.Join(two, "\n"), strings.Join(one, "\n"))
	}
	channel, err := FindChannel("mid-moderate")
	if err != nil {
		t.Fatal(err)
	}
	faded := run(2, channel, 25)
	if !strings.Contains(faded[0], `"channel":"mid-moderate"`) || !strings.Contains(one[0], `"channel":"none"`) {
		t.Errorf("%s\n%s", faded[0], one[0])
	}
	var g struct{ Substituted int }
	if err := json.Unmarshal([]byte(faded[0]), &g); err != nil || g.Substituted < 100 {
		t.Errorf("fading did no harm: %v, %s", err, faded[0])
	}
}

func TestTextScore(t *testing.T) {
	hear := func(text string, confidence float64) (heard []HeardChar) {
		for i, r := range text {
			heard = append(heard, HeardChar{Rune: r, At: 2 + float64(i), Confidence: confidence})
		}
		return heard
	}
	var g TextGrade
	if err := g.score([]rune("GALE NINE"), hear("EGA_E NNE", 0.9), 1.5); err != nil {
		t.Fatal(err)
	}
	if want := (Edits{Substituted: 1, Inserted: 1, Deleted: 1}); g.Edits != want || g.Sent != 9 || g.Heard != 9 ||
		g.FirstRight == nil || *g.FirstRight != 1.5 {
		t.Errorf("%+v", g)
	}
	if bins := g.Calibration.Bins(); len(bins) != 1 || bins[0].From != 0.9 || bins[0].To != 0.95 || bins[0].Heard != 9 || bins[0].Right != 7 {
		t.Errorf("%+v", bins)
	}
	if off, want := g.Calibration.Off(), 0.9-7.0/9; math.Abs(off-want) > 1e-9 {
		t.Errorf("off by %v, want %v", off, want)
	}
	for _, bad := range []float64{-0.1, 1.1, math.NaN()} {
		if err := new(TextGrade).score([]rune("A"), hear("A", bad), 0); err == nil {
			t.Errorf("no error for a confidence of %v", bad)
		}
	}
	// By hand; more printed than was sent counts once a character.
	late := 2.0
	row := TextRow{{SNR: -7.5, Sent: 10, Edits: Edits{1, 2, 0}, FirstRight: &late}, {SNR: -7.5, Sent: 10, Edits: Edits{4, 90, 0}}}
	if v := row.ErrorRate().Value; v != 13.0/20 {
		t.Errorf("error rate %v, want 0.65", v)
	}
	curves := toy(0).Theory(nil)
	got := strings.Fields(row.Line(curves))
	if want := []string{"-7.5", "20", "65.0"}; !slices.Equal(got[:3], want) || !slices.Equal(got[5:9], []string{"25.0", "460.0", "0", "2.0"}) {
		t.Error(got)
	}
	if h := strings.Split(TextHeader(curves), "\n")[0]; len(h) != len(row.Line(curves)) {
		t.Errorf("the line is %d wide, the header %d\n%s\n%s", len(row.Line(curves)), len(h), h, row.Line(curves))
	}
}

func TestTextNoise(t *testing.T) {
	plan := TextGrades{Mode: toy(20), Seed: 1}
	var row NoiseRow
	if err := plan.RunNoise(t.Context(), 3, func(g NoiseGrade) { row = append(row, g) }); err != nil {
		t.Fatal(err)
	}
	// The toy prints a character a sample.
	if len(row) != 2 || row[0].Printed != toyRate*120 || row[0].Seed == row[1].Seed || !strings.HasPrefix(row.String(), "300000.0 characters a minute") {
		t.Errorf("%+v\n%v", row, row)
	}
	if NoiseRow(nil).String() != "" {
		t.Error(NoiseRow(nil))
	}
}

func TestTextEndsEarly(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	plan := TextGrades{Mode: toy(20), SNRs: []float64{20}, Characters: 10, Length: 10}
	if err := plan.Run(ctx, func(TextGrade) {}); err != context.Canceled {
		t.Error(err)
	}
	if _, err := trials.Until(ctx, samples.Silence(8000, 1)).ReadSamples(make([]float32, 8)); err != context.Canceled {
		t.Error(err)
	}
	bad := errors.New("bad")
	plan.Mode.Send = func(string, *rand.Rand) (TextSignal, error) { return TextSignal{}, bad }
	if err := plan.Run(t.Context(), func(TextGrade) {}); err != bad {
		t.Error(err)
	}
}

func TestFindChannel(t *testing.T) {
	if c, err := FindChannel("none"); c != nil || err != nil {
		t.Error(c, err)
	}
	if c, err := FindChannel("mid-quiet"); err != nil || c.Name != "mid-quiet" {
		t.Error(c, err)
	}
	if _, err := FindChannel("stormy"); err == nil || !strings.Contains(err.Error(), "mid-quiet") || !strings.Contains(err.Error(), "none") {
		t.Error(err)
	}
}
