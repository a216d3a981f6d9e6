package theory

import (
	"math"
	"strings"
	"testing"

	"ionoscribe/internal/nearest"
)

// letters and figures by ITU-R M.1677-1, annex 1 part I, clauses 1.1.1 and 1.1.2.
var (
	letters = code("ABCDEFGHIJKLMNOPQRSTUVWXYZ", ".- -... -.-. -.. . ..-. --. .... .. .--- -.- .-.. -- -. --- .--. --.- .-. ... - ..- ...- .-- -..- -.-- --..")
	both    = code("ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789", ".- -... -.-. -.. . ..-. --. .... .. .--- -.- .-.. -- -. --- .--. --.- .-. ... - ..- ...- .-- -..- -.-- --.. ----- .---- ..--- ...-- ....- ..... -.... --... ---.. ----.")
)

func code(signs, patterns string) map[rune]string {
	c := map[rune]string{}
	for i, p := range strings.Fields(patterns) {
		c[rune(signs[i])] = p
	}
	return c
}

// One character, I or T, whose cells are 101 or 111: the middle cell decides, as in keying by on and off. SciPy's
// values: phase known Q(√(Ed/2N0)); envelopes of Rice and Rayleigh by cell; two dots or a dash by simulation.
func TestOneCharacterSciPy(t *testing.T) {
	const n = 100000
	for _, c := range readReference(t).Morse {
		for d, want := range map[Detection]float64{Phase: c.Phase, CellEnvelope: c.Cell, Envelope: c.Envelope} {
			s := newSimulation(Morse{Code: map[rune]string{'I': "..", 'T': "-"}, Detection: d}, c.EdN0, 1)
			s.trellis.exits = [][]exit{{{cells: wordGapCells - gapCells}}} // one character a word
			errors := 0
			for range n {
				sent := []rune{s.signs[s.rng.IntN(2)], ' '}
				if got := s.trellis.decode(s.receive(s.key(sent))); len(got) != 1 || got[0] != sent[0] {
					errors++
				}
			}
			if got := float64(errors) / n; math.Abs(got-want) > 3*math.Sqrt(want/n) {
				t.Errorf("Ed/N0 %g, detection %d: error rate %.5f, want %.5f", c.EdN0, d, got, want)
			}
		}
	}
}

// The gaps and lengths of ITU-R M.1677-1, clause 2: PARIS with its word space is 10+12+9+12+7 = 50 dots.
func TestKey(t *testing.T) {
	s := newSimulation(Morse{Code: letters}, 1, 1)
	if n := len(s.key([]rune("PARIS "))); n != 50 {
		t.Errorf("PARIS is %d dots", n)
	}
	got := ""
	for _, down := range s.key([]rune("AN I ")) {
		got += map[bool]string{true: "#", false: "_"}[down]
	}
	if want := "#_###___###_#_______#_#_______"; got != want {
		t.Errorf("keyed %s, want %s", got, want)
	}
}

// Without noise worth the name, what is sent is printed.
func TestNoErrors(t *testing.T) {
	for _, known := range []bool{false, true} {
		for _, d := range []Detection{Envelope, CellEnvelope, Phase} {
			if cer := (Morse{Code: both, WPM: 20, Detection: d, KnowsGroups: known}).CER(3, 2000, 1); cer != 0 {
				t.Errorf("error rate %g at 3 dB", cer)
			}
		}
	}
}

// read splits a row of cells into characters, by the definition and not by the tree: ok if it is a message.
func read(cells []bool, signs map[string]rune) (text []rune, ok bool) {
	row := ""
	for _, down := range cells {
		row += map[bool]string{true: "#", false: "_"}[down]
	}
	row, ok = strings.CutSuffix(row, "_______")
	for i, word := range strings.Split(row, "_______") {
		if i > 0 {
			text = append(text, ' ')
		}
		for _, character := range strings.Split(word, "___") {
			pattern := ""
			for _, element := range strings.Split(character, "_") {
				pattern += map[string]string{"#": ".", "###": "-"}[element]
				ok = ok && (element == "#" || element == "###")
			}
			r, found := signs[pattern]
			ok = ok && found
			text = append(text, r)
		}
	}
	return append(text, ' '), ok
}

// Well above the limit, what is printed wrong are messages one cell away. Where signal and prior make one log-likelihood
// with a mean of Ed/N0 + ln(P/P') and a variance of 2Ed/N0 apart, the wrong one wins with probability
// Q((Ed/N0 + ln(P/P'))/√(2Ed/N0)) (detection of known signals in white noise: Van Trees, Detection, Estimation and
// Modulation Theory I, from memory). Neighbours are counted by turning over each cell of random messages.
func TestNeighbours(t *testing.T) {
	signs := map[string]rune{}
	for r, p := range letters {
		signs[p] = r
	}
	const edN0 = 16
	prior := func(text []rune) (p float64) {
		for _, word := range strings.Fields(string(text)) {
			p += float64(len(word)-1)*math.Log(0.8/26) + math.Log(0.2/26)
		}
		return p
	}
	m := Morse{Code: letters, Detection: Phase}
	s := newSimulation(m, edN0, 2)
	expected, total := 0.0, 0
	for range 60 {
		sent := s.message(5)
		total += len(sent) - 1
		cells := s.key(sent)
		for i := range cells {
			cells[i] = !cells[i]
			if other, ok := read(cells, signs); ok {
				margin := edN0 + prior(sent) - prior(other)
				expected += tail(margin/math.Sqrt(2*edN0)) * float64(nearest.Distance(sent, other))
			}
			cells[i] = !cells[i]
		}
	}
	expected /= float64(total)
	got := m.cer(edN0, 200000, math.MaxInt, 3)
	t.Logf("error rate %.5f, by neighbours %.5f", got, expected)
	near(t, "error rate", got, expected, 0.1)
}
