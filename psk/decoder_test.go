package psk_test

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"ionoscribe/demod"
	"ionoscribe/psk"
	"ionoscribe/samples"
)

const rate = 12000

func must(tb testing.TB, err error) {
	tb.Helper()
	if err != nil {
		tb.Fatal(err)
	}
}

// sent is a transmission after a path, as samples, with four seconds of noise behind it.
func sent(tb testing.TB, c samples.PSK31Config, p samples.Path) []float32 {
	tb.Helper()
	c.SampleRate = rate
	s, err := samples.NewPSK31(c)
	must(tb, err)
	var src demod.SampleReader
	src, err = samples.Concat(samples.Silence(rate, 1), s, samples.Silence(rate, 4))
	must(tb, err)
	src, err = p.Through(src, s.Power())
	must(tb, err)
	x, err := samples.ReadAll(src)
	must(tb, err)
	return x
}

func noise(snr float64, seed uint64) samples.Path {
	return samples.Path{Noise: &samples.NoiseConfig{SNRdB: snr, Seed: seed}, Seed: seed}
}

func hear(tb testing.TB, x []float32, c psk.Config) (text string, state psk.State) {
	tb.Helper()
	var b strings.Builder
	c.SampleRate = rate
	d, err := psk.New(c, psk.Events{
		Char: func(c psk.Char) { b.WriteRune(c.Rune) },
		State: func(s psk.State) {
			if s.Receiving {
				state = s
			}
		},
	})
	must(tb, err)
	d.Write(x)
	d.Flush()
	return b.String(), state
}

func words(n int, seed uint64) string {
	r := rand.New(rand.NewPCG(seed, 1))
	list := strings.Fields("the gale is backing south west and rising at the ridge light we have seen nothing of your boat since noon please report again when you can 73 de")
	var b strings.Builder
	for b.Len() < n {
		b.WriteString(list[r.IntN(len(list))])
		b.WriteByte(' ')
	}
	return b.String()[:n]
}

// English through white noise, with nothing ordered: what is reached is 0.33 % at -10 dB and 3.3 % at -12 dB (6 messages); the bounds
// are those of some half a dB less.
func TestNoise(t *testing.T) {
	for _, c := range []struct{ snr, most float64 }{{0, 0.006}, {-10, 0.008}, {-12, 0.042}} {
		wrong, all := 0, 0
		for seed := range uint64(6) {
			text := words(300, seed)
			got, s := hear(t, sent(t, samples.PSK31Config{Text: text, PitchHz: 400 + 517*float64(seed)}, noise(c.snr, seed)), psk.Config{})
			if hz := 400 + 517*float64(seed); math.Abs(s.PitchHz-hz) > 1 || math.Abs(s.SNR-c.snr) > 3 {
				t.Errorf("%g dB at %g Hz: %+v", c.snr, hz, s)
			}
			wrong += distance(got, text)
			all += len(text)
		}
		if share := float64(wrong) / float64(all); share > c.most {
			t.Errorf("%g dB: %.4f of %d characters are wrong", c.snr, share, all)
		} else {
			t.Logf("%g dB: %.4f", c.snr, share)
		}
	}
}

// A tuning that drifts by 1 Hz/s at 10 dB is followed once it is found, and so is a sender that is 0.1 % too fast.
func TestDrift(t *testing.T) {
	text := words(200, 1)
	p := noise(10, 1)
	p.DriftHzPerSecond = 1
	got, _ := hear(t, sent(t, samples.PSK31Config{Text: text, BaudErrorPercent: 0.1, LeadSeconds: 8}, p), psk.Config{})
	if d := distance(got, text); d > 4 {
		t.Errorf("%d errors: %q", d, got)
	}
}

// Signals 60 Hz apart are all printed.
func TestNeighbours(t *testing.T) {
	const n = 4
	var all demod.SampleReader = samples.Silence(rate, 40)
	var texts []string
	power := 0.0
	for i := range n {
		texts = append(texts, words(120, uint64(i)))
		s, err := samples.NewPSK31(samples.PSK31Config{Text: texts[i], PitchHz: 900 + 60*float64(i), SampleRate: rate, LeadSeconds: 2 + 0.037*float64(i), Amplitude: 0.1})
		must(t, err)
		power = s.Power()
		all, err = samples.NewMix(all, s, 1)
		must(t, err)
	}
	src, err := noise(0, 1).Through(all, power)
	must(t, err)
	x, err := samples.ReadAll(src)
	must(t, err)
	got, hz := map[int]string{}, map[int]float64{}
	d, err := psk.New(psk.Config{SampleRate: rate, Signals: 10}, psk.Events{
		Char: func(c psk.Char) { got[c.Signal] += string(c.Rune) },
		State: func(s psk.State) {
			if s.Receiving {
				hz[s.Signal] = s.PitchHz
			}
		},
	})
	must(t, err)
	d.Write(x)
	d.Flush()
	if len(got) != n {
		t.Errorf("%d signals", len(got))
	}
	for i, text := range got {
		place := int(math.Round((hz[i] - 900) / 60))
		if place < 0 || place >= n || distance(text, texts[place]) > 4 {
			t.Errorf("%.1f Hz: %q", hz[i], text)
		}
	}
}

func distance(a, b string) int {
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := range a {
		diagonal := i
		row[0] = i + 1
		for j := range b {
			replaced := diagonal
			if a[i] != b[j] {
				replaced++
			}
			diagonal = row[j+1]
			row[j+1] = min(replaced, row[j]+1, diagonal+1)
		}
	}
	return row[len(b)]
}
