package samples

import (
	"errors"
	"io"
	"math"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/mjibson/go-dsp/spectral"
	"ionoscribe/demod"
	"ionoscribe/rtty"
)

func mustRTTY(t testing.TB, c RTTYConfig) *RTTY {
	t.Helper()
	r, err := NewRTTY(c)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// randomCodes are n codes of five units, the same each time.
func randomCodes(n int) []rtty.Code {
	rng := rand.New(rand.NewPCG(7, 8))
	codes := make([]rtty.Code, n)
	for i := range codes {
		codes[i] = rtty.Code(rng.IntN(32))
	}
	return codes
}

// Tones by zero crossings. Mark while idle: 2125 Hz of 2125 and 2295, the lower one unless inverted (common
// practice). Space: the start and five units of the null code, whose few periods leave the crossings less sure.
func TestRTTYTones(t *testing.T) {
	for _, rate := range rates {
		for _, c := range []struct {
			centre, shift float64
			inverted      bool
			mark, space   float64
		}{
			{0, 0, false, 2125, 2295}, {0, 0, true, 2295, 2125}, {1700, 450, false, 1475, 1925},
			{1000, 85, true, 1042.5, 957.5}, {1500, 850, false, 1075, 1925},
		} {
			x := mustRead(t, mustRTTY(t, RTTYConfig{Codes: []rtty.Code{0}, SampleRate: rate, CentreHz: c.centre, ShiftHz: c.shift, Inverted: c.inverted, StopElements: 1}))
			lead := int(rate)
			null := x[lead+1 : lead+int(6*0.022*rate)]
			if got := crossingHz(x[:lead], rate); math.Abs(got-c.mark) > 0.04 {
				t.Errorf("rate %v, %+v: mark of %.4f Hz", rate, c, got)
			}
			if got := crossingHz(null, rate); math.Abs(got-c.space) > 1.5 {
				t.Errorf("rate %v, %+v: space of %.4f Hz", rate, c, got)
			}
			if got := crossingHz(x[len(x)-lead+10:], rate); math.Abs(got-c.mark) > 0.04 {
				t.Errorf("rate %v, %+v: %.4f Hz at the end", rate, c, got)
			}
		}
	}
}

// starts finds the beginnings of characters, and of each the elements as heard in their middles, by no other
// knowledge than the rate and the tones: 1 for mark.
func starts(x []float32, c RTTYConfig, baud, centre float64) (at []float64, elements [][]byte) {
	hz := momentaryHz(x, c.SampleRate)
	element := c.SampleRate / baud
	units := c.Encoder.Alphabet.Units()
	high := func(t float64) byte { // by the mean of a third of an element; hz[i] lies midway between samples
		sum, from, to := 0.0, int(t-element/6), int(t+element/6)
		for _, f := range hz[from : to+1] {
			sum += f - centre
		}
		if (sum > 0) != c.Inverted {
			return 0 // space is the higher tone unless inverted
		}
		return 1
	}
	next := 1.0
	for i := 1; i < len(hz); i++ {
		a, b := hz[i-1]-centre, hz[i]-centre
		if c.Inverted {
			a, b = -a, -b
		}
		edge := float64(i-1) + a/(a-b) + 0.5
		if a >= 0 || b < 0 || edge < next || edge+element*float64(units+2) > float64(len(hz)) || high(edge+element/2) == 1 {
			continue
		}
		var e []byte
		for k := range units + 2 {
			e = append(e, high(edge+element*(float64(k)+0.5)))
		}
		at, elements = append(at, edge/c.SampleRate), append(elements, e)
		next = edge + element*(float64(units)+1.5)
	}
	return at, elements
}

// Text is read again from the momentary frequency in the middles of the elements, for every alphabet and rate, and
// each character starts when Sent says, to one or two samples, which is all that the analytic signal of a keyed tone
// tells: 0.07 elements at 300 Bd.
func TestRTTYReadAgain(t *testing.T) {
	texts := map[rtty.Alphabet]string{
		rtty.ITA2: "THE 5TH (OF 4)=A/+B\n␇␅", rtty.ITA2US: "COST $5 & #4!; \"OK\"\n", rtty.ASCII7: "{Mixed} ~Case~ \x1b|", rtty.ASCII8: "[a+B]^2=@_`c",
	}
	worst := 0.0
	for _, a := range []rtty.Alphabet{rtty.ITA2, rtty.ITA2US, rtty.ASCII7, rtty.ASCII8} {
		for i, baud := range rtty.Bauds {
			c := RTTYConfig{Text: texts[a], Encoder: rtty.Encoder{Alphabet: a}, SampleRate: rates[i%3], Baud: baud,
				StopElements: rtty.StopElements[i%3], Inverted: i%2 == 1, LeadSeconds: 0.1, TrailSeconds: 0.1, ShiftHz: max(170, 2*baud)}
			for variant := range 3 {
				switch variant {
				case 1:
					c.StopJitter, c.GapSeconds, c.TurnElements, c.Seed = 0.5, 0.5/baud, 0.5, uint64(i)
				case 2:
					c.GapSeconds, c.Diddle, c.LeadSeconds = 10/baud, true, 0.3
				}
				r := mustRTTY(t, c)
				var sent []SentChar
				for s := range r.Sent() {
					sent = append(sent, s)
				}
				at, heard := starts(mustRead(t, r), c, baud, 2210)
				if len(at) != len(sent) {
					t.Fatalf("%v, %.2f Bd, variant %d: %d characters, want %d", a, baud, variant, len(at), len(sent))
				}
				printer := rtty.Printer{Alphabet: a}
				var text strings.Builder
				for k, elements := range heard {
					worst = max(worst, math.Abs(at[k]-sent[k].At)*baud)
					if elements[0] != 0 || elements[len(elements)-1] != 1 {
						t.Fatalf("%v, %.2f Bd, variant %d: character %d has elements %v", a, baud, variant, k, elements)
					}
					var code rtty.Code
					for bit, e := range elements[1 : len(elements)-1] {
						code |= rtty.Code(e) << bit
					}
					p := printer.Print(code)
					if p != 0 {
						text.WriteRune(p)
					}
					if code != sent[k].Code || p != sent[k].Rune {
						t.Errorf("%v, %.2f Bd, variant %d: character %d is %b %q, sent %b %q", a, baud, variant, k, code, p, sent[k].Code, sent[k].Rune)
					}
				}
				want := strings.NewReplacer("\n", "\r\n", "\x1b", "␛").Replace(texts[a])
				if text.String() != want {
					t.Errorf("%v, %.2f Bd, variant %d: read %q, want %q", a, baud, variant, text.String(), want)
				}
			}
		}
	}
	if worst > 0.07 {
		t.Errorf("a start is heard %.3f elements beside its place", worst)
	}
}

// Elements of 20 ms and characters of 150 ms at 50 Bd with a stop of 1.5 (ITU-T S.3, from memory), 368 characters a
// minute at 45.45 Bd with a stop of 31 ms, by the first and the last start of many; and a wrong rate is that wrong.
func TestRTTYBaud(t *testing.T) {
	for _, c := range []struct{ baud, percent, stop, ms float64 }{
		{50, 0, 1.5, 150}, {50, 2, 1.5, 150 / 1.02}, {75, -2, 1.5, 100 / 0.98}, {100, 0, 1, 70},
		{rtty.Baud45, 0, 31. / 22, 60000 / 368.1}, {110, 0.5, 2, 8000 / 110. / 1.005},
	} {
		config := RTTYConfig{Codes: randomCodes(120), SampleRate: 8000, Baud: c.baud, BaudErrorPercent: c.percent, StopElements: c.stop, ShiftHz: 2 * c.baud}
		r := mustRTTY(t, config)
		if want := 2 + 0.12*c.ms; math.Abs(r.Duration()-want) > 0.002 {
			t.Errorf("%+v: lasts %v s, want %v", c, r.Duration(), want)
		}
		at, _ := starts(mustRead(t, r), config, c.baud*(1+c.percent/100), 2210)
		if len(at) != 120 {
			t.Fatalf("%+v: %d characters", c, len(at))
		}
		if got := 1000 * (at[119] - at[0]) / 119; math.Abs(got/c.ms-1) > 2e-5 {
			t.Errorf("%+v: a character lasts %.4f ms", c, got)
		}
	}
}

// The textbook formula of frequency modulation, A·sin(2π∫f dt), integrated element by element from the list of what
// was sent.
func TestRTTYExactPhase(t *testing.T) {
	for _, rate := range rates {
		c := RTTYConfig{Codes: randomCodes(30), SampleRate: rate, Baud: 56.9, BaudErrorPercent: 1.3, StopJitter: 0.7, GapSeconds: 0.05, Seed: 5, LeadSeconds: 0.123}
		r := mustRTTY(t, c)
		x := mustRead(t, r)
		element := 1 / (56.9 * 1.013)
		var edges, hz []float64 // of each element; its frequency
		edges, hz = append(edges, 0), append(hz, 2125)
		for s := range r.Sent() {
			edges, hz = append(edges, s.At), append(hz, 2295)
			for bit := range 5 {
				edges, hz = append(edges, s.At+float64(bit+1)*element), append(hz, 2295-170*float64(s.Code>>bit&1))
			}
			edges, hz = append(edges, s.At+6*element), append(hz, 2125)
		}
		edges = append(edges, math.Inf(1))
		k, integral := 0, 0.0
		for n, got := range x {
			at := float64(n) / rate
			for ; at >= edges[k+1]; k++ {
				integral += hz[k] * (edges[k+1] - edges[k])
			}
			want := 0.25 * math.Sin(2*math.Pi*(integral+hz[k]*(at-edges[k])))
			if math.Abs(float64(got)-want) > 1e-6 {
				t.Fatalf("rate %v, sample %d: %v, want %v", rate, n, got, want)
			}
		}
	}
}

// The same with raised-cosine turns, whose integral is a sum in steps of a 200th of a sample.
func TestRTTYTurns(t *testing.T) {
	for _, turn := range []float64{0.3, 1} {
		c := RTTYConfig{Codes: []rtty.Code{0b01010, 0b00110, 0b10001}, SampleRate: 8000, Baud: 100, TurnElements: turn, StopElements: 1, LeadSeconds: 0.01, TrailSeconds: 0.01}
		x := mustRead(t, mustRTTY(t, c))
		elements := "1" + "0010101" + "0011001" + "0100011" + "1"
		level := func(k int) float64 { return 2295 - 170*float64(elements[max(0, min(k, len(elements)-1))]-'0') }
		const fine = 200
		integral := 0.0
		for n, got := range x {
			if want := 0.25 * math.Sin(2*math.Pi*integral); math.Abs(float64(got)-want) > 1e-6 {
				t.Fatalf("turns of %v elements, sample %d: %v, want %v", turn, n, got, want)
			}
			for i := range fine {
				at := (float64(n) + (float64(i)+0.5)/fine) / 80 // in elements
				k := math.Floor(at + 0.5)                       // the nearest edge
				before, after := level(int(k)-1), level(int(k))
				u := min(1, max(0, (at-k)/turn+0.5))
				integral += (before + (after-before)*(1-math.Cos(math.Pi*u))/2) / (8000 * fine)
			}
		}
	}
}

// spectrum is by the method of Welch; hz is its resolution.
func spectrum(x []float32, rate float64, n int) (power []float64, hz float64) {
	in := make([]float64, len(x))
	for i, v := range x {
		in[i] = float64(v)
	}
	power, at := spectral.Pwelch(in, rate, &spectral.PwelchOptions{NFFT: n})
	return power, at[1]
}

// occupied is the bandwidth beyond whose limits lie 0.5 % of the power each (Radio Regulations 1.153).
func occupied(power []float64, hz float64) float64 {
	total, sum := 0.0, 0.0
	for _, p := range power {
		total += p
	}
	low, high := -1.0, -1.0
	for i, p := range power {
		if low < 0 && sum+p >= 0.005*total {
			low = (float64(i) + (0.005*total-sum)/p) * hz
		}
		if high < 0 && sum+p >= 0.995*total {
			high = (float64(i) + (0.995*total-sum)/p) * hz
		}
		sum += p
	}
	return high - low
}

// Necessary bandwidth of F1B, ITU-R SM.1138-3 (from memory): 2M + 2DK, M = Bd/2, K = 1.2; its example has 100 Bd and
// D = 85 Hz: 304 Hz. The bandwidth that random text occupies is within 5 % of it; turns of an element save 15 %.
func TestRTTYBandwidth(t *testing.T) {
	for _, c := range []struct{ baud, shift, want float64 }{{100, 170, 304}, {rtty.Baud45, 170, 249}, {50, 450, 590}, {50, 85, 152}} {
		necessary := 2*c.baud/2 + 2*c.shift/2*1.2
		if math.Abs(necessary-c.want) > 0.6 {
			t.Errorf("%+v: necessary are %v Hz", c, necessary)
		}
		for turn, want := range map[float64]float64{0: 1.03, 1: 0.845} {
			config := RTTYConfig{Codes: randomCodes(300), SampleRate: 8000, Baud: c.baud, ShiftHz: c.shift, LeadSeconds: -1, TrailSeconds: -1,
				StopElements: 1, TurnElements: turn}
			power, hz := spectrum(mustRead(t, mustRTTY(t, config)), 8000, 4096)
			if got := occupied(power, hz); math.Abs(got/necessary-want) > 0.02 {
				t.Errorf("%+v, turns of %v elements: %.1f Hz are occupied, %.3f of the necessary", c, turn, got, got/necessary)
			}
		}
	}
}

// With a shift of whole multiples of the rate and continuous phase, the spectrum has a line at each tone (textbook,
// Sunde's FSK): to a bin of 1 Hz the highest on either side of the middle.
func TestRTTYShift(t *testing.T) {
	for _, shift := range []int{100, 200, 450, 850} {
		c := RTTYConfig{Codes: randomCodes(300), SampleRate: 8000, Baud: 50, ShiftHz: float64(shift), CentreHz: 2225, StopElements: 1}
		power, hz := spectrum(mustRead(t, mustRTTY(t, c)), 8000, 8000)
		low, high := 0, 2225
		for i := range 4000 {
			if i < 2225 && power[i] > power[low] {
				low = i
			} else if i >= 2225 && power[i] > power[high] {
				high = i
			}
		}
		if hz != 1 || low != 2225-shift/2 || high != 2225+shift/2 {
			t.Errorf("shift of %d Hz: lines at %d and %d Hz", shift, low, high)
		}
	}
}

// Idle characters fill the time, say nothing, and keep the shift.
func TestRTTYDiddle(t *testing.T) {
	r := mustRTTY(t, RTTYConfig{Text: "A1 2", Baud: 50, Diddle: true, GapSeconds: 0.5, LeadSeconds: 0.45, TrailSeconds: 0.3, Seed: 1})
	var codes []rtty.Code
	printed := ""
	for s := range r.Sent() {
		if math.Abs(s.At-0.15*float64(len(codes))) > 1e-9 {
			t.Errorf("character %d at %v s", len(codes), s.At)
		}
		codes = append(codes, s.Code)
		if s.Rune != 0 {
			printed += string(s.Rune)
		}
	}
	if l := rtty.LettersShift; !slices.Equal(codes[:3], []rtty.Code{l, l, l}) || printed != "A1 2" {
		t.Errorf("codes %05b print %q", codes, printed)
	}
	if f := rtty.FiguresShift; !slices.Equal(codes[len(codes)-2:], []rtty.Code{f, f}) || len(codes) < 12 {
		t.Errorf("codes %05b", codes)
	}
	if want := 0.15 * float64(len(codes)); math.Abs(r.Duration()-want) > 1e-9 {
		t.Errorf("%v s, want %v", r.Duration(), want)
	}
}

// Gaps are exponential (mean and standard deviation are equal), jitter is uniform, both by their moments to three
// standard errors or so of 20000 characters.
func TestRTTYRandomTimes(t *testing.T) {
	moments := func(c RTTYConfig) (mean, deviation float64) {
		var last, sum, square float64
		n := -1
		for s := range mustRTTY(t, c).Sent() {
			if n++; n > 0 {
				d := s.At - last - 0.15
				sum += d
				square += d * d
			}
			last = s.At
		}
		mean = sum / float64(n)
		return mean, math.Sqrt(square/float64(n) - mean*mean)
	}
	c := RTTYConfig{Codes: randomCodes(20000), Baud: 50, GapSeconds: 0.2}
	if mean, deviation := moments(c); math.Abs(mean-0.2) > 0.004 || math.Abs(deviation-0.2) > 0.007 {
		t.Errorf("gaps of %v ± %v s", mean, deviation)
	}
	c.GapSeconds, c.StopJitter = 0, 2 // uniform to 40 ms: 20 ± 40/√12 ms
	if mean, deviation := moments(c); math.Abs(mean-0.02) > 0.0003 || math.Abs(deviation-0.04/math.Sqrt(12)) > 0.0003 {
		t.Errorf("stops longer by %v ± %v s", mean, deviation)
	}
}

// After ten hours phase and edges are where they began: a character of 150 ms at 50 Bd is one of 1200 samples.
func TestRTTYNoDrift(t *testing.T) {
	codes := make([]rtty.Code, 240000)
	r := mustRTTY(t, RTTYConfig{Codes: codes, SampleRate: 8000, Baud: 50, LeadSeconds: -1, TrailSeconds: -1, CentreHz: 2000, ShiftHz: 200})
	if r.Duration() != 36000 || r.schedule.cfg.Codes[0] != 0 {
		t.Errorf("%v s", r.Duration())
	}
	var last SentChar
	for s := range r.Sent() {
		last = s
	}
	if want := 36000 - 0.15; math.Abs(last.At-want) > 1e-9 {
		t.Errorf("last character at %v s, want %v", last.At, want)
	}
	// A character has whole cycles: 0.12 s of 2100 Hz and 0.03 s of 1900 Hz.
	first := make([]float32, 1200)
	for i := range first {
		hz, cycles := 2100.0, 0.0
		if i >= 960 {
			hz, cycles = 1900, (2100-1900)*0.12
		}
		first[i] = float32(0.25 * math.Sin(2*math.Pi*(cycles+hz*float64(i)/8000)))
	}
	buf := make([]float32, 1200)
	for n := range 2000 {
		if k, err := r.ReadSamples(buf); k != len(buf) || err != nil {
			t.Fatal(k, err)
		}
		for i, v := range buf {
			if math.Abs(float64(v-first[i])) > 1e-6 {
				t.Fatalf("character %d, sample %d: %v, want %v", n, i, v, first[i])
			}
		}
	}
}

func TestRTTYPower(t *testing.T) {
	r := mustRTTY(t, RTTYConfig{Codes: randomCodes(100), Amplitude: 0.4})
	sum, x := 0.0, mustRead(t, r)
	for _, v := range x {
		sum += float64(v) * float64(v)
	}
	if got := sum / float64(len(x)); math.Abs(got-0.08) > 1e-5 || math.Abs(r.Power()-0.08) > 1e-12 {
		t.Errorf("power %v, measured %v, want 0.08", r.Power(), got)
	}
}

func TestRTTYErrors(t *testing.T) {
	nan := math.NaN()
	for name, c := range map[string]RTTYConfig{
		"no text": {}, "character": {Text: "ä"}, "code": {Codes: []rtty.Code{32}}, "alphabet": {Text: "A", Encoder: rtty.Encoder{Alphabet: 9}},
		"rate": {Text: "A", SampleRate: 900}, "nan": {Text: "A", SampleRate: nan}, "baud": {Text: "A", Baud: -1}, "fast": {Text: "A", Baud: 2000},
		"slow": {Text: "A", BaudErrorPercent: -6}, "shift": {Text: "A", ShiftHz: nan}, "centre": {Text: "A", CentreHz: 50}, "wide": {Text: "A", CentreHz: 5990},
		"stop": {Text: "A", StopElements: 0.5}, "jitter": {Text: "A", StopJitter: -1}, "turn": {Text: "A", TurnElements: 1.1}, "amplitude": {Text: "A", Amplitude: 1.1},
		"gap": {Text: "A", GapSeconds: math.Inf(1)}, "lead": {Text: "A", LeadSeconds: nan}, "trail": {Text: "A", TrailSeconds: 4000},
	} {
		if r, err := NewRTTY(c); err == nil {
			t.Errorf("%s: no error, %v s", name, r.Duration())
		} else if !strings.HasPrefix(err.Error(), "radioteletype") {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func TestRTTYReadsAndAllocations(t *testing.T) {
	config := RTTYConfig{Codes: randomCodes(20), SampleRate: 11025, StopJitter: 1, GapSeconds: 0.1, TurnElements: 0.4, LeadSeconds: 0.1, TrailSeconds: 0.1, Diddle: true, Seed: 9}
	whole := mustRead(t, mustRTTY(t, config))
	for _, size := range []int{1, 7, 479, 0} {
		r := mustRTTY(t, config)
		checkReads(t, r, whole, size)
		if n, err := r.ReadSamples(make([]float32, 3)); n != 0 || !errors.Is(err, io.EOF) {
			t.Errorf("after the end: %d, %v", n, err)
		}
	}
	config.Seed++
	if slices.Equal(whole, mustRead(t, mustRTTY(t, config))) {
		t.Error("the seed does not matter")
	}
	r := mustRTTY(t, config)
	buf := make([]float32, 512)
	if n := testing.AllocsPerRun(50, func() { r.ReadSamples(buf) }); n != 0 {
		t.Errorf("%v allocations a read", n)
	}
}

func BenchmarkRTTY(b *testing.B) {
	for _, c := range []RTTYConfig{{SampleRate: 8000}, {SampleRate: 12000}, {SampleRate: 12000, TurnElements: 1}, {SampleRate: 48000}} {
		c.Codes = randomCodes(400)
		name := "hard"
		if c.TurnElements > 0 {
			name = "soft"
		}
		b.Run(name+"/"+strconv.Itoa(int(c.SampleRate)), func(b *testing.B) {
			drain(b, c.SampleRate, func() demod.SampleReader { return mustRTTY(b, c) })
		})
	}
}
