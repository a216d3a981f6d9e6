package modeb

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
)

// sent is a NAVTEX message as it is encoded.
func sent(t testing.TB, preamble, text string) []Code {
	t.Helper()
	codes, err := Encode("ZCZC " + preamble + "\n" + text + "\nNNNN\n")
	if err != nil {
		t.Fatal(err)
	}
	return codes
}

const warning = "OSTREL RADIO 271200 UTC NOV\nNAVIGATIONAL WARNING 114/26\nLIGHT BUOY 'NORTH BANK' 54-12.5N 009-40.1W UNLIT.\n" +
	"MARINERS ARE ADVISED TO KEEP CLEAR (2 MILES)."

// air makes what an ideal receiver knows of characters: envelopes of both tones in each element of both sendings, in white noise,
// energy of an element over N0 being ratio.
func air(rng *rand.Rand, codes []Code, ratio float64) []Soft {
	out := make([]Soft, len(codes))
	a := math.Sqrt(ratio)
	for n, c := range codes {
		for i := range Units {
			llr := 0.0
			for range 2 {
				on := math.Hypot(a+rng.NormFloat64()/math.Sqrt2, rng.NormFloat64()/math.Sqrt2)
				off := math.Hypot(rng.NormFloat64()/math.Sqrt2, rng.NormFloat64()/math.Sqrt2)
				llr += logI0(2*a*on) - logI0(2*a*off)
			}
			if c>>i&1 == 0 {
				llr = -llr
			}
			for k, e := range table {
				if e.code>>i&1 == 1 {
					out[n][k] += float32(llr)
				}
			}
		}
		out[n].normalise()
	}
	return out
}

// logI0 is ln I0(x) by the series, in the logarithm where it is long.
func logI0(x float64) float64 {
	if x > 30 { // asymptotic: Abramowitz and Stegun 9.7.1
		return x - math.Log(2*math.Pi*x)/2 + math.Log1p(1/(8*x)+9/(128*x*x))
	}
	sum, term := 1.0, 1.0
	for k := 1.0; term > 1e-12*sum; k++ {
		term *= x * x / (4 * k * k)
		sum += term
	}
	return math.Log(sum)
}

const rate = 8000.0

// told is what came of receptions.
type told struct {
	Message
	news News
}

// hear has Messages take receptions, a minute apart.
func hear(receptions ...[]Soft) (heard []told) {
	m := NewMessages(rate, func(msg Message, n News) { heard = append(heard, told{msg, n}) })
	at := int64(0)
	for _, chars := range receptions {
		for i := range chars {
			m.Take(at, &chars[i])
			at += int64(charSeconds * rate)
		}
		at += int64(60 * rate)
		m.Advance(at)
	}
	m.Flush()
	return heard
}

func plain(codes []Code) (out []Soft) {
	for _, c := range codes {
		out = append(out, Surely(c, 0.999))
	}
	return out
}

func TestMessage(t *testing.T) {
	heard := hear(plain(sent(t, "EA14", warning)), plain(sent(t, "EA14", warning)), plain(sent(t, "EE00", "FORECAST")),
		plain(sent(t, "EE00", "FORECAST")), plain(sent(t, "EA14", "ANOTHER TEXT UNDER A NUMBER THAT IS USED AGAIN")))
	var got []string
	for _, h := range heard {
		got = append(got, fmt.Sprintf("%s %v %v %v %d", h.Preamble(), h.Complete, h.Well(), h.news, h.Receptions))
	}
	want := []string{"EA14 true true first 1", "EA14 true true again 2", "EE00 true true first 1", "EE00 true true first 1", "EA14 true true first 1"}
	if strings.Join(got, "\n") != strings.Join(want, "\n") {
		t.Errorf("%q", got)
	}
	if heard[0].String() != warning {
		t.Errorf("%q", heard[0].String())
	}
	if s := heard[0].Subject; s.String() != "navigational warning" || !s.Mandatory() || Subject('E').Mandatory() {
		t.Errorf("%v", s)
	}
}

// A message without an end, one whose beginning was missed, one in the midst of which another begins, and one with a fade.
func TestBrokenMessages(t *testing.T) {
	codes := plain(sent(t, "EB02", warning))
	half := len(codes) / 2
	var torn []Soft
	torn = append(append(torn, codes[:half]...), plain(sent(t, "FB07", "GALE"))...)
	heard := hear(codes[:half], codes[10:], torn)
	var got []string
	for _, h := range heard {
		got = append(got, fmt.Sprintf("%s %v %v", h.Preamble(), h.Complete, h.news))
	}
	if want := "[EB02 false first EB02 false again FB07 true first]"; fmt.Sprint(got) != want {
		t.Errorf("%v", got)
	}

	var faded []told
	m := NewMessages(rate, func(msg Message, n News) { faded = append(faded, told{msg, n}) })
	for i := range codes {
		if i < 60 || i >= 80 {
			m.Take(int64(float64(i)*charSeconds*rate), &codes[i])
		}
	}
	if len(faded) != 1 || !faded[0].Complete || faded[0].Wrong < 10 || !strings.HasSuffix(faded[0].String(), "(2 MILES).") {
		t.Errorf("%+v", faded)
	}
}

// Receptions that miss each a character, or have one too many, are put together.
// A reception whose NNNN was not read goes on into noise; another that ended knows better, before it or after it.
func TestOverrun(t *testing.T) {
	whole := plain(sent(t, "EA14", warning))
	over := slices.Clone(whole)
	for _, c := range "QVWKXAAAAMMXQVXWUZ" {
		over = append(over, Surely(letterCodes[c-'A'], 0.999))
	}
	n := len(whole) - 1
	for whole[n] != Surely(letterCodes['N'-'A'], 0.999) {
		n--
	}
	over[n] = Surely(letterCodes['S'-'A'], 0.999)
	for _, receptions := range [][][]Soft{{whole, over}, {over, whole}} {
		heard := hear(receptions...)
		if last := heard[len(heard)-1]; last.String() != warning || last.Receptions != 2 {
			t.Errorf("%d receptions: %q", last.Receptions, last.String())
		}
	}
}

func TestAlign(t *testing.T) {
	codes := sent(t, "EB02", warning)
	a, b := plain(codes), plain(codes)
	a = append(a[:40:40], a[41:]...)
	b = append(append(b[:70:70], Unknown(), Unknown()), b[70:]...)
	steps, lead := align(a, b)
	if lead < 3*float64(len(a)) || len(steps) != len(codes)+2 {
		t.Errorf("%d steps of %d, evidence %.0f", len(steps), len(codes), lead)
	}
}

// Noise, and any text without ZCZC, is no message.
func TestNoMessage(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 1))
	random := make([]Code, 20000)
	for i := range random {
		random[i] = table[rng.IntN(32)].code
	}
	if heard := hear(air(rng, random, 1)); len(heard) > 0 {
		t.Errorf("noise makes %d messages", len(heard))
	}
}

// A message that is sent three times at -8 dB in 2500 Hz, of which an element has 10 ms: at most 1 % of its characters are wrong
// when it is put together. The receiver is ideal; the whole decoder is judged in package grade.
func TestThreeReceptions(t *testing.T) {
	const messages = 60
	ratio := math.Pow(10, -0.8) * 2500 / Baud
	rng := rand.New(rand.NewPCG(2, 2))
	wrong, letters, lost := 0, 0, 0
	for range messages {
		codes := sent(t, "EA14", warning)
		heard := hear(air(rng, codes, ratio), air(rng, codes, ratio), air(rng, codes, ratio))
		letters += len(warning)
		if len(heard) == 0 || heard[len(heard)-1].Receptions != 3 {
			lost++
			continue
		}
		wrong += differences(heard[len(heard)-1].String(), warning)
	}
	t.Logf("%d of %d characters wrong, %d of %d messages not put together", wrong, letters, lost, messages)
	if lost > 1 || float64(wrong) > 0.002*float64(letters) {
		t.Error("too much is wrong")
	}
}

// differences is the number of characters that differ, of texts of the same length, or those of the longer one.
func differences(a, b string) (n int) {
	if len(a) != len(b) {
		return max(len(a), len(b))
	}
	for i := range len(a) {
		if a[i] != b[i] {
			n++
		}
	}
	return n
}
