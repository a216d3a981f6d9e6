package theory

import (
	_ "embed"
	"fmt"
	"math"
	"strconv"
	"strings"
)

// morseTable holds simulated error rates against Ed/N0 in dB, for letters and for letters and figures, a column for
// each Detection in order. TestMorseTable makes it.
//
//go:embed morse.csv
var morseTable string

// MorseCurve is the character error rate of [Morse] with all that it knows but KnowsGroups, for groups of the letters
// A to Z or of letters and figures. It is interpolated in simulations of up to four million characters, good to
// some 4 %; beyond the last of them, below 1e-3, it falls as exp(-Ed/4N0), as Q(√(Ed/2N0)) does.
func MorseCurve(wpm float64, d Detection, figures bool) Curve {
	name := fmt.Sprintf("theory, %g WPM %s", wpm, [...]string{"noncoherent", "noncoherent by dot lengths", "coherent"}[d])
	column := 1 + int(d)
	if figures {
		column += 3
	}
	var x, lnCER []float64
	for line := range strings.Lines(morseTable) {
		fields := strings.Split(strings.TrimSpace(line), ",")
		db, err := strconv.ParseFloat(fields[0], 64)
		if err != nil {
			continue // the heading
		}
		cer, err := strconv.ParseFloat(fields[column], 64)
		if err != nil {
			panic("theory: morse.csv: " + err.Error())
		}
		x, lnCER = append(x, math.Pow(10, db/10)), append(lnCER, math.Log(cer))
	}
	return Curve{Name: name, At: func(snrdB float64) float64 {
		edN0 := EnergyRatio(snrdB, dotSeconds/wpm)
		last := len(x) - 1
		switch {
		case edN0 <= x[0]:
			return math.Exp(lnCER[0])
		case edN0 >= x[last]:
			return math.Exp(lnCER[last] - (edN0-x[last])/4)
		}
		i := 1
		for x[i] < edN0 {
			i++
		}
		return math.Exp(lnCER[i-1] + (lnCER[i]-lnCER[i-1])*(edN0-x[i-1])/(x[i]-x[i-1]))
	}}
}
