package theory

import (
	"math"
	"math/rand/v2"

	"ionoscribe/internal/nearest"
)

// Detection is what a receiver knows of the phase of a Morse signal.
type Detection int

const (
	// Envelope knows that it is steady within each dot or dash: the envelope of a matched filter as long as the
	// element. The limit of receivers that do not follow the phase from one element to the next.
	Envelope Detection = iota
	// CellEnvelope takes the envelope of every dot length by itself, of one filter matched to the dot: a dash is
	// three envelopes.
	CellEnvelope
	// Phase knows the phase throughout.
	Phase
)

// dotSeconds is the length of a dot at one word a minute: 50 dots in PARIS and its word space (ITU-R M.1677-1
// clause 2 for the lengths; the word is common practice).
const dotSeconds = 60.0 / 50

const (
	groupLength  = 5  // characters in a group
	messageWords = 20 // groups in a message, which is decoded as a whole
)

// Morse is the receiver of random five-character groups that knows the code, the dot grid, the first and last cell of
// the message, the amplitude and the noise: the most probable message is the one that it prints, though the one with
// the fewest errors to expect could differ by a little. The characters of a group are equally likely.
//
// Letters at 20 words a minute and -10 dB, simulated: 0.91 % of characters wrong by Envelope, 1.15 % by CellEnvelope,
// 0.46 % by Phase; at -9 dB 0.31, 0.40, 0.16 %, at -8 dB 0.08, 0.11, 0.04 %.
type Morse struct {
	Code      map[rune]string // dots and dashes of each character that is sent
	WPM       float64         // words per minute
	Detection Detection
	// KnowsGroups: it knows that words are of five characters. Otherwise one character in five ends a word, which is
	// as much as a receiver of any text may assume. Knowing it makes 0.57 % of 0.91 %.
	KnowsGroups bool
}

// CER is the character error rate at snrdB in 2500 Hz, key down, over messages of at least the given number of
// characters in all, spaces counted. It is a simulation, the same for the same seed.
func (m Morse) CER(snrdB float64, characters int, seed uint64) float64 {
	return m.cer(EnergyRatio(snrdB, dotSeconds/m.WPM), characters, math.MaxInt, seed)
}

// cer stops after maxErrors too.
func (m Morse) cer(edN0 float64, characters, maxErrors int, seed uint64) float64 {
	s := newSimulation(m, edN0, seed)
	errors, total := 0, 0
	for total < characters && errors < maxErrors {
		sent := s.message(messageWords)
		got := s.trellis.decode(s.receive(s.key(sent)))
		errors += nearest.Distance(sent, got)
		total += len(sent) - 1 // the last space is no news
	}
	return float64(errors) / float64(total)
}

// simulation is one run of messages; its slices are used again.
type simulation struct {
	Morse
	trellis   *trellis
	rng       *rand.Rand
	edN0      float64
	signs     []rune
	cells     []bool
	re, im    []float64
	dot, dash []float64
}

func newSimulation(m Morse, edN0 float64, seed uint64) *simulation {
	s := &simulation{Morse: m, edN0: edN0, rng: rand.New(rand.NewPCG(seed, 0x6d6f727365))}
	s.trellis = newTrellis(m.Code, groupLength, m.KnowsGroups)
	for _, b := range s.trellis.tree {
		if b.sign != 0 {
			s.signs = append(s.signs, b.sign)
		}
	}
	return s
}

// message is random groups, each with a space behind it.
func (s *simulation) message(words int) []rune {
	var text []rune
	for range words {
		for range groupLength {
			text = append(text, s.signs[s.rng.IntN(len(s.signs))])
		}
		text = append(text, ' ')
	}
	return text
}

// key is whether the key is down in each cell.
func (s *simulation) key(text []rune) []bool {
	up := func(n int) {
		for range n {
			s.cells = append(s.cells, false)
		}
	}
	s.cells = s.cells[:0]
	for _, r := range text {
		if r == ' ' {
			up(wordGapCells - characterGapCells)
			continue
		}
		for _, element := range s.Code[r] {
			s.cells = append(s.cells, true)
			if element == '-' {
				s.cells = append(s.cells, true, true)
			}
			up(gapCells)
		}
		up(characterGapCells - gapCells)
	}
	return s.cells
}

// receive makes the matched filter's output in each cell, complex noise of variance 1 and √(Ed/N0) =: a with the key
// down, and from it the log-likelihood ratios of a dot and of a dash at each cell against silence. They are, of y
// summed over the k cells of an element,
//
//	phase known    2a·Re y - k·a²         both densities are normal
//	unknown        ln I0(2a·|y|) - k·a²   Rice over Rayleigh
func (s *simulation) receive(key []bool) (dot, dash []float64) {
	n := len(key)
	for _, x := range []*[]float64{&s.re, &s.im, &s.dot, &s.dash} {
		if cap(*x) < n {
			*x = make([]float64, n, 2*n)
		}
		*x = (*x)[:n]
	}
	a := math.Sqrt(s.edN0)
	for i, down := range key {
		s.re[i], s.im[i] = s.rng.NormFloat64()*math.Sqrt2/2, s.rng.NormFloat64()*math.Sqrt2/2
		if down {
			s.re[i] += a
		}
	}
	for i, re := range s.re {
		if s.Detection == Phase {
			s.dot[i] = 2*a*re - s.edN0
		} else {
			s.dot[i] = logI0(2*a*math.Hypot(re, s.im[i])) - s.edN0
		}
	}
	for i := range n - dashCells + 1 {
		if s.Detection == Envelope {
			re, im := s.re[i]+s.re[i+1]+s.re[i+2], s.im[i]+s.im[i+1]+s.im[i+2]
			s.dash[i] = logI0(2*a*math.Hypot(re, im)) - dashCells*s.edN0
		} else {
			s.dash[i] = s.dot[i] + s.dot[i+1] + s.dot[i+2]
		}
	}
	return s.dot, s.dash // the last two dashes, which would not end, are not used
}
