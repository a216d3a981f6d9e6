package cw_test

import (
	"math/rand/v2"
	"strings"
	"testing"

	"ionoscribe/cw"
	"ionoscribe/demod"
	"ionoscribe/samples"
)

const testRate = 12000

// groups are random letters and figures in groups of five, n characters with the gaps.
func groups(n int, seed uint64) string {
	rng := rand.New(rand.NewPCG(seed, 1))
	var b strings.Builder
	for i := range n {
		if i%6 == 5 && i < n-1 {
			b.WriteByte(' ')
			continue
		}
		b.WriteByte("ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789"[rng.IntN(36)])
	}
	return b.String()
}

// distance is the least number of characters to replace, add or remove (Levenshtein).
func distance(a, b string) int {
	x, y := []rune(a), []rune(b)
	row := make([]int, len(y)+1)
	for j := range row {
		row[j] = j
	}
	for i := range x {
		d := row[0]
		row[0]++
		for j := range y {
			v := d
			if x[i] != y[j] {
				v++
			}
			d = row[j+1]
			row[j+1] = min(v, row[j+1]+1, row[j]+1)
		}
	}
	return row[len(y)]
}

// sent is a transmission in noise as samples.
func sent(t testing.TB, c samples.CWConfig, p samples.Path, snr float64) []float32 {
	t.Helper()
	c.SampleRate = testRate
	s, err := samples.NewCW(c)
	if err != nil {
		t.Fatal(err)
	}
	p.Noise = &samples.NoiseConfig{SNRdB: snr}
	p.Seed = c.Seed + 1
	r, err := p.Through(s, s.Power())
	if err != nil {
		t.Fatal(err)
	}
	return read(t, r)
}

func read(t testing.TB, r demod.SampleReader) []float32 {
	t.Helper()
	x, err := samples.ReadAll(r)
	if err != nil {
		t.Fatal(err)
	}
	return x
}

// copied is what is printed, by signal.
func copied(t testing.TB, c cw.Config, x []float32) map[int]string {
	t.Helper()
	c.SampleRate = testRate
	text := map[int]string{}
	d, err := cw.New(c, cw.Events{Char: func(ch cw.Char) { text[ch.Signal] += ch.Text }})
	if err != nil {
		t.Fatal(err)
	}
	d.Write(x)
	d.Flush()
	return text
}

const report = "DABC DE DXYZ = GALE WARNING SEA AREA 7 SW 9 INCREASING 10 = QSL? <AR>"

// What is sent is printed, at every speed and however it is keyed, from the first character to the last.
func TestClean(t *testing.T) {
	for name, c := range map[string]samples.CWConfig{
		"5 words a minute": {WPM: 5, Text: "QTH 54.5N 20.5W <SK>"},
		"12":               {WPM: 12},
		"20":               {WPM: 20},
		"35":               {WPM: 35},
		"60":               {WPM: 60, Text: report + " " + report},
		"low pitch":        {PitchHz: 210, WPM: 25},
		"high pitch":       {PitchHz: 3450, WPM: 25},
		"light":            {WeightPercent: 35},
		"heavy":            {WeightPercent: 65},
		"long dashes":      {DashRatio: 4.5},
		"drift":            {DriftHzPerSecond: 2, PitchHz: 900},
		"chirp":            {ChirpHz: 30},
		"hum":              {HumDepth: 0.3},
		"paddle":           {Sender: samples.Paddle, Jitter: -1, Seed: 3},
	} {
		if c.Text == "" {
			c.Text = report
		}
		symbols, err := cw.Encode(c.Text)
		if err != nil {
			t.Fatal(err)
		}
		if got, want := copied(t, cw.Config{}, sent(t, c, samples.Path{}, 30))[1], cw.Text(symbols); got != want {
			t.Errorf("%s: %q, want %q", name, got, want)
		}
	}
}

// A drift is foretold, so that the phase tells what fades: without that up to whole messages were lost.
func TestDriftInFading(t *testing.T) {
	errors, sentChars := 0, 0
	for seed := range uint64(5) {
		c := samples.CWConfig{WPM: 18, DriftHzPerSecond: 2, Text: groups(150, seed), Seed: seed}
		got := copied(t, cw.Config{}, sent(t, c, path(t, "mid-moderate"), 10))[1]
		errors += distance(c.Text, got)
		sentChars += len(c.Text)
	}
	t.Logf("%d errors in %d characters", errors, sentChars)
	if errors > 12 {
		t.Errorf("%d errors in %d characters", errors, sentChars)
	}
}

// The speed changes within the message, and at most five characters are lost.
func TestSpeedStep(t *testing.T) {
	c := samples.CWConfig{Text: groups(90, 3), WPM: 15, Speeds: []samples.CWSpeed{{At: 45, WPM: 28}}}
	got := copied(t, cw.Config{}, sent(t, c, samples.Path{}, 6))[1]
	if d := distance(c.Text, got); d > 3 {
		t.Errorf("%d errors: %q", d, got)
	}
}

// Orders hold: of two equal signals 60 Hz apart the one that is ordered, and at a speed that is not ordered nothing.
func TestOrders(t *testing.T) {
	a := samples.CWConfig{Text: groups(40, 1), WPM: 25, PitchHz: 1000, SampleRate: testRate, Amplitude: 0.4}
	b := a
	b.Text, b.PitchHz = groups(60, 2), 1060
	x := both(t, a, b, 6)
	if got := copied(t, cw.Config{PitchHz: 995}, x)[1]; got != a.Text {
		t.Errorf("%q, want %q", got, a.Text)
	}
	if got := copied(t, cw.Config{WPM: 12}, x)[1]; got != "" {
		t.Errorf("at half the speed: %q", got)
	}
}

// Machines at one speed that began together, or a dot apart, keep the same time, which is no company.
func TestSameTime(t *testing.T) {
	for i, wpm := range []float64{12, 12, 20, 20, 30, 30, 50, 50} {
		a := samples.CWConfig{Text: groups(int(3*wpm), 5), WPM: wpm, PitchHz: 700, SampleRate: testRate, Amplitude: 0.2}
		b := a
		b.Text, b.PitchHz = groups(int(3*wpm), 6), 1200
		b.LeadSeconds = samples.DefaultCWSilenceSeconds + float64(i%2)*cw.DotSeconds(wpm)
		got := copied(t, cw.Config{Signals: 20}, both(t, a, b, 20))
		if len(got) != 2 || got[1] != a.Text && got[2] != a.Text {
			t.Errorf("%g words a minute: %v, want %q and %q", wpm, got, a.Text, b.Text)
		}
	}
}

// both are two messages at once, of which the first has the SNR in dB.
func both(t *testing.T, a, b samples.CWConfig, snr float64) []float32 {
	one, err := samples.NewCW(a)
	if err != nil {
		t.Fatal(err)
	}
	other, err := samples.NewCW(b)
	if err != nil {
		t.Fatal(err)
	}
	mix, err := samples.NewMix(one, other, 1)
	if err != nil {
		t.Fatal(err)
	}
	noisy, err := samples.NewNoise(mix, samples.NoiseConfig{SNRdB: snr, SignalPower: one.Power()})
	if err != nil {
		t.Fatal(err)
	}
	return read(t, noisy)
}

// An overdriven receiver makes harmonics, which are no signals of their own, nor company that makes music of it.
func TestOverdriven(t *testing.T) {
	for _, hz := range []float64{400, 1100} {
		for _, snr := range []float64{30, 0} {
			x := sent(t, samples.CWConfig{Text: report, PitchHz: hz}, samples.Path{Clip: &samples.ClipConfig{Level: 0.02}}, snr)
			symbols, _ := cw.Encode(report)
			if got := copied(t, cw.Config{Signals: 20}, x); len(got) != 1 || got[1] != cw.Text(symbols) {
				t.Errorf("%g Hz, %g dB: %v", hz, snr, got)
			}
		}
	}
}

// Twenty signals at once: each is found, and printed as one signal.
func TestTwenty(t *testing.T) {
	var src demod.SampleReader
	var texts []string
	power := 0.0
	for i := range 20 {
		c := samples.CWConfig{Text: groups(14+i*2, uint64(i)), WPM: 12 + 23*float64(i)/19, PitchHz: 300 + 155*float64(i), Amplitude: 0.04, SampleRate: testRate}
		if i == 0 {
			c.TrailSeconds = 4
		}
		s, err := samples.NewCW(c)
		if err != nil {
			t.Fatal(err)
		}
		texts, power = append(texts, s.Text()), s.Power()
		if src == nil {
			src = s
		} else if src, err = samples.NewMix(src, s, 1); err != nil {
			t.Fatal(err)
		}
	}
	noisy, err := samples.NewNoise(src, samples.NoiseConfig{SNRdB: 6, SignalPower: power})
	if err != nil {
		t.Fatal(err)
	}
	x := read(t, noisy)
	got := copied(t, cw.Config{Signals: cw.MaxSignals}, x)
	if len(got) != len(texts) {
		t.Errorf("%d signals: %v", len(got), got)
	}
	errors, total := 0, 0
	for _, text := range texts {
		best := len(text)
		for _, g := range got {
			// The first signal ends the recording: of longer messages only a part is there.
			n := min(len(text), len(g))
			best = min(best, distance(text[:n], g)+len(text[:min(len(text), 5)])-min(n, 5))
		}
		errors, total = errors+best, total+len(text)
	}
	t.Logf("%d errors of %d", errors, total)
	if errors > total/50 {
		t.Errorf("%d errors of %d", errors, total)
	}
}

// Weak and fading signals: near what grade cw measures over many more characters.
func TestErrors(t *testing.T) {
	fading := path(t, "mid-moderate")
	for _, c := range []struct {
		name          string
		send          samples.CWConfig
		path          samples.Path
		snr           float64
		senders, most int
	}{
		{"weak", samples.CWConfig{WPM: 20}, samples.Path{}, -9, 1, 5},
		{"by hand", samples.CWConfig{WPM: 18, Sender: samples.StraightKey, Seed: 2}, samples.Path{}, -3, 2, 32},
		{"fading", samples.CWConfig{WPM: 18}, fading, 10, 1, 2},
		{"fading, by hand", samples.CWConfig{WPM: 18, Sender: samples.StraightKey, Seed: 4}, fading, 10, 2, 20},
	} {
		c.send.Text = groups(240, 7)
		d := 0
		for range c.senders {
			d += distance(c.send.Text, copied(t, cw.Config{}, sent(t, c.send, c.path, c.snr))[1])
			c.send.Seed++
		}
		t.Logf("%s: %d errors of %d", c.name, d, c.senders*len(c.send.Text))
		if d > c.most {
			t.Errorf("%s: %d errors", c.name, d)
		}
	}
}
