package samples

import (
	"fmt"
	"math"
	"math/cmplx"
	"strings"
	"testing"

	"github.com/mjibson/go-dsp/fft"
	"ionoscribe/cw"
)

func mustCW(t testing.TB, c CWConfig) *CW {
	t.Helper()
	s, err := NewCW(c)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// envelope is the length of the analytic signal, which is found by the Fourier transform of go-dsp.
func envelope(x []float32) []float64 {
	n := 1
	for n < len(x) {
		n *= 2
	}
	in := make([]float64, n)
	for i, v := range x {
		in[i] = float64(v)
	}
	s := fft.FFTReal(in)
	for i := 1; i < n/2; i++ {
		s[i] *= 2
	}
	clear(s[n/2+1:])
	e := make([]float64, len(x))
	for i, z := range fft.IFFT(s)[:len(x)] {
		e[i] = cmplx.Abs(z)
	}
	return e
}

// crossings finds where e passes a threshold, in samples, interpolated: up, down, up ...
func crossings(e []float64, threshold float64) (at []float64) {
	for i := 1; i < len(e); i++ {
		if a, b := e[i-1]-threshold, e[i]-threshold; (a < 0) != (b < 0) {
			at = append(at, float64(i-1)+a/(a-b))
		}
	}
	return at
}

// keyed is when a signal's envelope passes half the amplitude, in seconds: key down, up, down ...
func keyed(t testing.TB, c CWConfig) []float64 {
	t.Helper()
	s := mustCW(t, c)
	at := crossings(envelope(mustRead(t, s)), s.cfg.Amplitude/2)
	if len(at) == 0 || len(at)%2 != 0 {
		t.Fatalf("%d edges", len(at))
	}
	for i := range at {
		at[i] /= s.SampleRate()
	}
	return at
}

// lengths is the distances of successive edges: of marks, and of the gaps after them.
func lengths(at []float64) (marks, gaps []float64) {
	for i := 1; i < len(at); i++ {
		if d := at[i] - at[i-1]; i%2 == 1 {
			marks = append(marks, d)
		} else {
			gaps = append(gaps, d)
		}
	}
	return marks, gaps
}

// ITU-R M.1677-1, part I, clause 2, and the worked count of PARIS: each element of the word, and the whole.
func TestParis(t *testing.T) {
	marks := []float64{1, 3, 3, 1, 1, 3, 1, 3, 1, 1, 1, 1, 1, 1}
	gaps := []float64{1, 1, 1, 3, 1, 3, 1, 1, 3, 1, 3, 1, 1, 7}
	worst, worstWord := 0.0, 0.0
	for _, rate := range []float64{8000, 11025} {
		for _, wpm := range []float64{5, 12, 20, 25, 100.0 / 3, 47, 60} {
			at := keyed(t, CWConfig{Text: "PARIS PARIS", WPM: wpm, SampleRate: rate, LeadSeconds: 0.1, TrailSeconds: 0.1})
			m, g := lengths(at)
			if len(m) != 28 || len(g) != 27 {
				t.Fatalf("%v words a minute: %d marks and %d gaps", wpm, len(m), len(g))
			}
			dot := 1.2 / wpm
			for i := range m {
				worst = max(worst, math.Abs(m[i]-marks[i%14]*dot))
				if i < len(g) {
					worst = max(worst, math.Abs(g[i]-gaps[i%14]*dot))
				}
			}
			worstWord = max(worstWord, math.Abs(at[28]-at[0]-60/wpm))
		}
	}
	t.Logf("elements within %.1f µs, words within %.1f µs", worst*1e6, worstWord*1e6)
	if worst > 2.5e-6 || worstWord > 1.5e-6 {
		t.Errorf("elements are %.1f µs off, words %.1f µs", worst*1e6, worstWord*1e6)
	}
}

// The whole of a transmission: a text with the gap after it lasts as long as it has words.
func TestCWDuration(t *testing.T) {
	for _, c := range []struct {
		text   string
		wpm, s float64
	}{{"PARIS ", 20, 3}, {strings.Repeat("PARIS ", 200), 25, 480}, {"CODEX ", 60, 1.2}} {
		s := mustCW(t, CWConfig{Text: c.text, WPM: c.wpm, LeadSeconds: 0.5, TrailSeconds: 0.25})
		if got := s.Duration(); math.Abs(got-c.s-0.75) > 1e-9 {
			t.Errorf("%.8s at %v words a minute lasts %v s, want %v", c.text, c.wpm, got, c.s+0.75)
		}
		if s.Text() != c.text {
			t.Errorf("%q is sent as %q", c.text, s.Text())
		}
	}
}

// The worked example of J. Bloom, QEX, April 1990: 18 words a minute sent at 5.
func TestFarnsworthGaps(t *testing.T) {
	marks, gaps := lengths(keyed(t, CWConfig{Text: "ST T", WPM: 18, FarnsworthWPM: 5}))
	if math.Abs(marks[3]-3*1.2/18) > 3e-6 || math.Abs(gaps[0]-1.2/18) > 3e-6 {
		t.Errorf("a dash of %v s and a gap of %v s", marks[3], gaps[0])
	}
	if math.Abs(gaps[2]-1.5684) > 5.3e-5 || math.Abs(gaps[3]-3.6596) > 5.3e-5 {
		t.Errorf("gaps of %v and %v s, want 1.5684 and 3.6596", gaps[2], gaps[3])
	}
}

// Lengths by the definitions in CWConfig.
func TestWeight(t *testing.T) {
	for _, c := range []struct{ weight, ratio, dot, dash, gap, character, word float64 }{
		{50, 3, 1, 3, 1, 3, 7},
		{70, 3, 1.4, 3.4, 0.6, 2.6, 6.6},
		{30, 3, 0.6, 2.6, 1.4, 3.4, 7.4},
		{50, 4, 1, 4, 1, 3, 7},
		{60, 2.5, 1.2, 2.7, 0.8, 2.8, 6.8},
	} {
		m, g := lengths(keyed(t, CWConfig{Text: "AE T", WPM: 12, WeightPercent: c.weight, DashRatio: c.ratio}))
		got := []float64{m[0], m[1], g[0], g[1], g[2]}
		for i, want := range []float64{c.dot, c.dash, c.gap, c.character, c.word} {
			if math.Abs(got[i]/0.1-want) > 3e-5 { // a dot lasts 100 ms
				t.Errorf("%v %%, ratio %v: length %d is %.4f dots, want %v", c.weight, c.ratio, i, got[i]/0.1, want)
			}
		}
	}
}

func TestSpeeds(t *testing.T) {
	m, g := lengths(keyed(t, CWConfig{Text: "EE EEE", WPM: 12, Speeds: []CWSpeed{{2, 24}, {4, 6}}}))
	got := append(m, g...)
	for i, want := range []float64{0.1, 0.1, 0.05, 0.2, 0.2, 0.3, 7 * 0.05, 3 * 0.05, 3 * 0.2} {
		if math.Abs(got[i]-want) > 3e-6 {
			t.Errorf("length %d is %v s, want %v", i, got[i], want)
		}
	}
}

// held is the samples of a long dash, from start to end in seconds after it began.
func held(t *testing.T, c CWConfig, start, end float64) []float32 {
	t.Helper()
	c.Text, c.WPM, c.LeadSeconds = "T", 1, 0.5
	s := mustCW(t, c)
	return mustRead(t, s)[int((0.5+start)*s.SampleRate()):int((0.5+end)*s.SampleRate())]
}

func TestPitch(t *testing.T) {
	for _, hz := range []float64{300, 700, 1234.5, 2800} {
		if got := crossingHz(held(t, CWConfig{PitchHz: hz}, 0.1, 3.5), 12000); math.Abs(got-hz) > 6e-3 {
			t.Errorf("a pitch of %v Hz is %v", hz, got)
		}
	}
	// With drift, the mean frequency of a stretch is that in the middle of it, here 2.5 s from the first sample.
	if got := crossingHz(held(t, CWConfig{DriftHzPerSecond: -7}, 1, 3), 12000); math.Abs(got-(700-7*2.5)) > 0.005 {
		t.Errorf("a pitch of 682.5 Hz is %v", got)
	}
}

// Chirp dies away as an exponential, by the analytic signal.
func TestChirp(t *testing.T) {
	c := CWConfig{Text: "TT", WPM: 5, PitchHz: 1000, ChirpHz: 60, ChirpSeconds: 0.05, SampleRate: 12000}
	s := mustCW(t, c)
	hz := momentaryHz(mustRead(t, s), 12000)
	for sent := range s.Sent() {
		for _, after := range []float64{0.01, 0.05, 0.1, 0.3, 0.6} {
			i := int((sent.At + after) * 12000)
			want := 1000 + 60*math.Exp(-(after+0.0025)/0.05) // from the beginning of the rise
			if math.Abs(hz[i]-want) > 0.05 {
				t.Errorf("%v s after the key went down the pitch is %.2f Hz, want %.2f", after, hz[i], want)
			}
		}
	}
}

// A raised cosine passes 10 % and 90 % where (1 - cos πu)/2 does, 0.5903 apart.
func TestEdges(t *testing.T) {
	u := func(level float64) float64 { return math.Acos(1-2*level) / math.Pi }
	for _, ms := range []float64{2, 5, 15} {
		s := mustCW(t, CWConfig{Text: "E", WPM: 12, SampleRate: 48000, PitchHz: 6000, EdgeSeconds: ms / 1000})
		e := envelope(mustRead(t, s))
		low, high := crossings(e, 0.1*DefaultAmplitude), crossings(e, 0.9*DefaultAmplitude)
		if len(low) != 2 || len(high) != 2 {
			t.Fatalf("edges of %v ms: %d and %d crossings", ms, len(low), len(high))
		}
		want := (u(0.9) - u(0.1)) * ms
		for i, got := range []float64{(high[0] - low[0]) / 48, (low[1] - high[1]) / 48} {
			if math.Abs(got-want) > 0.0005 {
				t.Errorf("edge %d of %v ms takes %.4f ms from 10 to 90 %%, want %.4f", i, ms, got, want)
			}
		}
		if at := crossings(e, DefaultAmplitude/2); math.Abs(at[0]-48000) > 0.01 || math.Abs(at[1]-1.1*48000) > 0.01 {
			t.Errorf("edges of %v ms are at %v samples", ms, at)
		}
	}
	x := mustRead(t, mustCW(t, CWConfig{Text: "E", WPM: 12, EdgeSeconds: -1})) // at once
	for i, v := range x {
		if on := i >= 12000 && i < 12000+1200; !on && v != 0 {
			t.Fatalf("sample %d is %v", i, v)
		}
	}
	if got := meanSquare(x[12000:13200]); math.Abs(got/(0.25*0.25/2)-1) > 1e-6 { // 70 whole cycles
		t.Errorf("a dot of power %v", got)
	}
}

func TestHumModulation(t *testing.T) {
	c := CWConfig{HumDepth: 0.3, HumHz: 120}
	x := held(t, c, 0.5, 2.5) // whole cycles of all
	for hz, want := range map[float64]float64{700: 0.25, 580: 0.25 * 0.15, 820: 0.25 * 0.15} {
		var z complex128
		for i, v := range x {
			z += complex(float64(v), 0) * cmplx.Rect(2/float64(len(x)), -2*math.Pi*hz*float64(i)/12000)
		}
		if math.Abs(cmplx.Abs(z)-want) > 1e-5 {
			t.Errorf("amplitude %v at %v Hz, want %v", cmplx.Abs(z), hz, want)
		}
	}
	c.Text = "E"
	if got, want := meanSquare(x), mustCW(t, c).Power(); math.Abs(got/want-1) > 1e-5 {
		t.Errorf("power %v, measured %v", want, got)
	}
}

// Necessary bandwidth of A1A by ITU-R SM.1138-3 (from memory): B·K, with K = 5 on fading circuits, 3 on others. Its
// example has B = 20 Bd for 25 words a minute: 100 Hz. Dots at that speed are 25·50/60 = 20.83 Bd: 104.2 Hz, as far as
// the fifth harmonics of a string of dots. The occupied bandwidth, outside of which is 0.5 % of the mean power on
// either side (Radio Regulations 1.153), comes to that with edges of 5 ms. Keyed at once it is more than twice that.
func TestOccupiedBandwidth(t *testing.T) {
	text := strings.Repeat("CQ DE DABC GALE WARNING 23 = ", 2)
	for _, c := range []struct{ edge, low, high float64 }{{0.005, 100, 104.5}, {-1, 225, 235}} {
		x := mustRead(t, mustCW(t, CWConfig{Text: text, WPM: 25, PitchHz: 2000, SampleRate: 8000, EdgeSeconds: c.edge}))
		in := make([]float64, 1<<18)
		for i, v := range x {
			in[i] = float64(v)
		}
		s := fft.FFTReal(in)[:len(in)/2]
		total := 0.0
		for _, z := range s {
			total += real(z)*real(z) + imag(z)*imag(z)
		}
		edge, sum := [2]int{}, 0.0
		for i, z := range s {
			sum += real(z)*real(z) + imag(z)*imag(z)
			if sum < 0.005*total {
				edge[0] = i
			}
			if sum < 0.995*total {
				edge[1] = i
			}
		}
		got := float64(edge[1]-edge[0]) * 8000 / float64(len(in))
		t.Logf("edges of %v s: %.1f Hz", c.edge, got)
		if got < c.low || got > c.high {
			t.Errorf("edges of %v s occupy %.1f Hz, want %v to %v", c.edge, got, c.low, c.high)
		}
	}
}

// A receiver that knows the length of a dot, made for this test of clause 2 of M.1677-1 alone, prints a machine's text.
func TestOracle(t *testing.T) {
	var b strings.Builder
	for i, s := range cw.Symbols() {
		b.WriteString(s.Text)
		if i%5 == 4 {
			b.WriteByte(' ')
		}
	}
	text := strings.TrimSpace(b.String())
	for wpm := 5.0; wpm <= 60; wpm += 5 {
		at := keyed(t, CWConfig{Text: text, WPM: wpm, SampleRate: 2000, PitchHz: 500})
		if got := oracle(at, 1.2/wpm); got != text {
			t.Errorf("%v words a minute: %q", wpm, got)
		}
	}
}

func oracle(at []float64, dot float64) string {
	var b strings.Builder
	p := cw.Pattern(1)
	marks, gaps := lengths(at)
	for i, mark := range marks {
		p = p.Add(mark > 2*dot)
		if i < len(gaps) && gaps[i] < 2*dot {
			continue
		}
		s, ok := cw.Lookup(p)
		if !ok {
			s.Text = "?"
		}
		b.WriteString(s.Text)
		if p = 1; i < len(gaps) && gaps[i] > 5*dot {
			b.WriteByte(' ')
		}
	}
	return b.String()
}

// meanDeviation is the mean and the standard deviation in parts of it.
func meanDeviation(v []float64) (mean, share float64) {
	squares := 0.0
	for _, a := range v {
		mean += a / float64(len(v))
		squares += a * a / float64(len(v))
	}
	return mean, math.Sqrt(max(0, squares/mean/mean-1))
}

// Jitter of dots, of dashes and of the gaps between dots and between dashes, measured, against what was ordered.
func TestJitter(t *testing.T) {
	const sure = 0.012 // three standard errors of 0.12 from 600 elements, and more with 0.18 of gaps
	for _, c := range []struct {
		sender                     CWSender
		dot, dash, dotGap, dashGap float64
	}{
		{Machine, 0, 0, 0, 0},
		{Paddle, 0, 0, 0, 0},
		{SemiAutomatic, 0, 0.12, 0, 0.18},
		{StraightKey, 0.12, 0.12, 0.18, 0.18},
	} {
		for i, text := range []string{"<HHHHH>", "<OOOOOOO>"} {
			var marks, gaps []float64
			config := CWConfig{Text: strings.Repeat(text+" ", 30), WPM: 24, Sender: c.sender, Seed: uint64(i + 1),
				SampleRate: 2000, PitchHz: 500}
			m, g := lengths(keyed(t, config))
			for k := range m {
				marks = append(marks, m[k])
				if k < len(g) && g[k] < 0.15 { // not between words
					gaps = append(gaps, g[k])
				}
			}
			wantMark, wantGap := c.dot, c.dotGap
			if i == 1 {
				wantMark, wantGap = c.dash, c.dashGap
			}
			mean, mark := meanDeviation(marks)
			_, gap := meanDeviation(gaps)
			t.Logf("%v, %s: marks %.4f s ± %.4f, gaps ± %.4f", c.sender, text, mean, mark, gap)
			if math.Abs(mark-wantMark) > sure || math.Abs(gap-wantGap) > 1.5*sure {
				t.Errorf("%v, %s: marks ± %.4f, gaps ± %.4f, want %v and %v", c.sender, text, mark, gap, wantMark, wantGap)
			}
		}
	}
}

// What Sent says of a straight key is what is heard.
func TestSent(t *testing.T) {
	c := CWConfig{Text: "de dabc <AS> qrx", Sender: StraightKey, Seed: 5, Speeds: []CWSpeed{{8, 30}}, SampleRate: 8000}
	s := mustCW(t, c)
	at, k := keyed(t, c), 0
	text := ""
	for sent := range s.Sent() {
		text += sent.Text
		first, last := at[max(k-1, 0)], at[min(k, len(at)-1)] // of a gap
		if sent.Symbol != cw.Space {
			first, last = at[k], at[k+2*sent.Pattern.Len()-1]
			k += 2 * sent.Pattern.Len()
		}
		if math.Abs(sent.At-first) > 3e-6 || math.Abs(sent.End-last) > 3e-6 {
			t.Errorf("%s from %.6f to %.6f s, heard from %.6f to %.6f", sent.Text, sent.At, sent.End, first, last)
		}
	}
	if text != "DE DABC <A̅S̅> QRX" || k != len(at) {
		t.Errorf("sent %q, %d of %d edges", text, k, len(at))
	}
	for range s.Sent() {
		break // may end early
	}
}

// Senders made by different seeds differ, and keep within what a receiver may meet.
func TestSenders(t *testing.T) {
	for _, sender := range []CWSender{Paddle, StraightKey, SemiAutomatic} {
		ratios := map[string]bool{}
		for seed := range uint64(20) {
			h := newCWHand(&CWConfig{Sender: sender, Seed: seed})
			ratios[fmt.Sprintf("%.4f", h.bias.CharacterGap)] = true
			if d := 3 * h.bias.Dash; d < 2.6 || d > 4.2 || h.bias.Gap < 0.8 || h.bias.WordGap > 1.4 {
				t.Errorf("%v %d: %+v", sender, seed, h.bias)
			}
		}
		if len(ratios) < 19 {
			t.Errorf("%v: %d different senders", sender, len(ratios))
		}
	}
}

// Some gaps between characters run together or are stretched: 2 and 3 in a hundred.
func TestWrongGaps(t *testing.T) {
	s := mustCW(t, CWConfig{Text: strings.Repeat("E", 5001), Sender: Paddle, Jitter: 0.01, Seed: 3})
	last, gaps := -1.0, []float64(nil)
	for sent := range s.Sent() {
		if last >= 0 {
			gaps = append(gaps, sent.At-last)
		}
		last = sent.End
	}
	usual := s.schedule.timing.CharacterGap
	short, long := 0.0, 0.0
	for _, g := range gaps {
		switch r := g / usual; {
		case r < 0.4 || r > 2.2 || r > 0.65 && r < 0.9 || r > 1.1 && r < 1.5:
			t.Fatalf("a gap of %.3f of the usual", r)
		case r < 0.9:
			short++
		case r > 1.1:
			long++
		}
	}
	if n := float64(len(gaps)); math.Abs(short/n-0.02) > 0.006 || math.Abs(long/n-0.03) > 0.0075 { // three deviations
		t.Errorf("of %v gaps %v were short and %v long", n, short, long)
	}
}

func cwOfAll() CWConfig {
	return CWConfig{Text: "CQ <AR>", WPM: 40, Sender: StraightKey, Seed: 7, ChirpHz: 20, DriftHzPerSecond: 3,
		HumDepth: 0.2, LeadSeconds: 0.1, TrailSeconds: 0.1, Speeds: []CWSpeed{{1, 30}}}
}

func TestCWReadsAndAllocations(t *testing.T) {
	want := mustRead(t, mustCW(t, cwOfAll()))
	for _, size := range []int{1, 7, 479, 0} {
		checkReads(t, mustCW(t, cwOfAll()), want, size)
	}
	s := mustCW(t, CWConfig{Text: strings.Repeat("PARIS ", 50), Sender: StraightKey})
	buf := make([]float32, 1024)
	if n := testing.AllocsPerRun(1000, func() { s.ReadSamples(buf) }); n != 0 {
		t.Errorf("%v allocations a block", n)
	}
}

func TestCWErrors(t *testing.T) {
	nan := math.NaN()
	for i, c := range []CWConfig{
		{}, {Text: " \n"}, {Text: "#"}, {Text: "<A"},
		{Text: "E", SampleRate: 100}, {Text: "E", SampleRate: nan}, {Text: "E", WPM: 0.5}, {Text: "E", WPM: nan},
		{Text: "E", FarnsworthWPM: 21}, {Text: "E", FarnsworthWPM: -1}, {Text: "E", FarnsworthWPM: nan},
		{Text: "E", PitchHz: 6000}, {Text: "E", PitchHz: -1}, {Text: "E", PitchHz: nan},
		{Text: "E", DriftHzPerSecond: -400}, {Text: "E", DriftHzPerSecond: nan}, {Text: "E", ChirpHz: -700}, {Text: "E", ChirpHz: nan},
		{Text: "E", ChirpSeconds: -1}, {Text: "E", WeightPercent: 29}, {Text: "E", WeightPercent: nan}, {Text: "E", DashRatio: 6},
		{Text: "E", Sender: -1}, {Text: "E", Sender: 4}, {Text: "E", Jitter: 0.4}, {Text: "E", Jitter: nan},
		{Text: "E", EdgeSeconds: 0.061}, {Text: "E", EdgeSeconds: nan}, {Text: "E", WPM: 200, WeightPercent: 70},
		{Text: "E", HumDepth: 1.1}, {Text: "E", HumDepth: nan}, {Text: "E", HumHz: -1}, {Text: "E", HumHz: nan},
		{Text: "E", LeadSeconds: 3601}, {Text: "E", TrailSeconds: nan}, {Text: "E", Amplitude: 1.1}, {Text: "E", Amplitude: nan},
		{Text: "EE", Speeds: []CWSpeed{{1, 0}}}, {Text: "EE", Speeds: []CWSpeed{{1, nan}}}, {Text: "EE", Speeds: []CWSpeed{{-1, 20}}},
		{Text: "EE", Speeds: []CWSpeed{{1, 20}, {1, 30}}}, {Text: "EE", EdgeSeconds: 0.03, Speeds: []CWSpeed{{1, 60}}},
	} {
		s, err := NewCW(c)
		if err == nil || s != nil {
			t.Errorf("%d: %+v: error %v", i, c, err)
		}
	}
}
