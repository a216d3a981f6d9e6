package band

import (
	"math/rand/v2"
	"strconv"
	"strings"
)

// words are those of invented bulletins.
var words = strings.Fields(`
	GALE WARNING FORECAST FOR THE NEXT HOURS WIND NORTH SOUTH EAST WEST BACKING VEERING INCREASING LATER ROUGH
	MODERATE SLIGHT SEA SWELL RAIN SHOWERS FOG BANKS GOOD POOR VISIBILITY LOW HIGH PRESSURE RISING FALLING SLOWLY
	RAPIDLY FRONT TROUGH RIDGE ICE EDGE DRIFTING BUOY LIGHT UNLIT CHART BULLETIN STATION OBSERVED REPORT ALL SHIPS
	IN AREA NEAR CAPE ISLAND BANK CHANNEL OUTER INNER BAY AND FROM TO BECOMING AT TIMES EXPECTED MORNING NIGHT`)

// lineLength is that of a teleprinter's lines, less a word (69 characters a line: ITU-T S.1, from memory).
const lineLength = 60

// fit makes text that takes about so many seconds to send.
func fit(t *Transmission, seconds float64, r *rand.Rand) string {
	// A word of PARIS, the measure of speed, has five letters and a gap; a teleprinter's character 7.5 elements.
	characters := seconds * t.WPM / 60 * 6
	if t.Kind == Teleprinter {
		characters = seconds * t.Baud / 7.5
	}
	characters *= 0.9 // figures are longer, and so are shifts between them and letters
	var b strings.Builder
	line := 0
	for float64(b.Len()) < max(characters, 40) {
		w := words[r.IntN(len(words))]
		if r.IntN(8) == 0 {
			w = strconv.Itoa(10 + r.IntN(990))
		}
		switch {
		case b.Len() == 0:
		case t.Kind == Teleprinter && line >= lineLength:
			b.WriteByte('\n')
			line = 0
		default:
			b.WriteByte(' ')
		}
		b.WriteString(w)
		line += len(w) + 1
	}
	return b.String()
}
