package theory

import (
	_ "embed"
	"math"
	"math/rand/v2"
	"strconv"
	"strings"

	"ionoscribe/rtty/modeb"
)

// modeBTable holds simulated error rates of mode B against the energy of an element of one sending over N0, in dB. TestModeBTable
// makes it.
//
//go:embed modeb.csv
var modeBTable string

// DoubtfulBelow is the confidence below which a character of mode B counts as doubtful.
const DoubtfulBelow = 0.7

// ModeB simulates the reception of n random characters of the seven-unit code, each sent twice, by matched filters of both tones
// whose phases are not known: the pattern of the 35 that all envelopes of both sendings make likeliest. ratio is the energy of an
// element over N0. It tells the shares that are wrong, and that are wrong or doubtful.
func ModeB(rng *rand.Rand, ratio float64, n int) (wrong, doubtful float64) {
	a := math.Sqrt(ratio)
	envelope := func(a float64) float64 { // of noise of unit power, and a tone
		return math.Hypot(a+rng.NormFloat64()/math.Sqrt2, rng.NormFloat64()/math.Sqrt2)
	}
	for range n {
		sent := modeBPatterns[rng.IntN(len(modeBPatterns))]
		var b [modeb.Units]float64 // log-likelihood ratio of B
		for i := range b {
			for range 2 {
				b[i] += logI0(2*a*envelope(a)) - logI0(2*a*envelope(0))
			}
			if sent>>i&1 == 0 {
				b[i] = -b[i]
			}
		}
		best, p := modeBDecide(&b)
		if best != sent {
			wrong++
		}
		if best != sent || p < DoubtfulBelow {
			doubtful++
		}
	}
	return wrong / float64(n), doubtful / float64(n)
}

// modeBPatterns are the 35 that are legal.
var modeBPatterns = func() (all []modeb.Code) {
	for c := range modeb.Code(1 << modeb.Units) {
		if c.Legal() {
			all = append(all, c)
		}
	}
	return all
}()

// modeBDecide is the likeliest pattern by the log-likelihood ratios of B, and its probability.
func modeBDecide(b *[modeb.Units]float64) (best modeb.Code, p float64) {
	most, sum := math.Inf(-1), 0.0
	var likely [1 << modeb.Units]float64
	for _, c := range modeBPatterns {
		for i := range b {
			if c>>i&1 == 1 {
				likely[c] += b[i]
			}
		}
		if likely[c] > most {
			best, most = c, likely[c]
		}
	}
	for _, c := range modeBPatterns {
		sum += math.Exp(likely[c] - most)
	}
	return best, 1 / sum
}

// ModeBCurves are the shares of characters of mode B that are wrong, and that are wrong or doubtful, as [ModeB] has them; what a
// wrong shift does to the characters behind it is left out. Beyond the last simulation they fall as exp(-2E/N0), as the error of
// two patterns does that differ in two elements, four of both sendings.
func ModeBCurves() []Curve {
	return []Curve{simulated("theory, mode B", modeBTable, 1, 1/modeb.Baud), simulated("theory, mode B, wrong or doubtful", modeBTable, 2, 1/modeb.Baud)}
}

// simulated is the curve of a column of a table whose first column is the energy of an element over N0 in dB, elements being so many
// seconds long. Beyond the last line it falls as exp(-2E/N0).
func simulated(name, table string, column int, seconds float64) Curve {
	var x, ln []float64
	for line := range strings.Lines(table) {
		fields := strings.Split(strings.TrimSpace(line), ",")
		db, err := strconv.ParseFloat(fields[0], 64)
		if err != nil {
			continue // the heading
		}
		share, err := strconv.ParseFloat(fields[column], 64)
		if err != nil {
			panic("theory: " + name + ": " + err.Error())
		}
		x, ln = append(x, math.Pow(10, db/10)), append(ln, math.Log(share))
	}
	return Curve{Name: name, At: func(snrdB float64) float64 {
		ratio := EnergyRatio(snrdB, seconds)
		last := len(x) - 1
		switch {
		case ratio <= x[0]:
			return math.Exp(ln[0])
		case ratio >= x[last]:
			return math.Exp(ln[last] - 2*(ratio-x[last]))
		}
		i := 1
		for x[i] < ratio {
			i++
		}
		return math.Exp(ln[i-1] + (ln[i]-ln[i-1])*(ratio-x[i-1])/(x[i]-x[i-1]))
	}}
}
