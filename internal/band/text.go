package band

import (
	"math/rand/v2"
	"strconv"
	"strings"

	"ionoscribe/internal/traffic"
)

// words are those of invented bulletins.
var words = strings.Fields(`
	GALE WARNING FORECAST FOR THE NEXT HOURS WIND NORTH SOUTH EAST WEST BACKING VEERING INCREASING LATER ROUGH
	MODERATE SLIGHT SEA SWELL RAIN SHOWERS FOG BANKS GOOD POOR VISIBILITY LOW HIGH PRESSURE RISING FALLING SLOWLY
	RAPIDLY FRONT TROUGH RIDGE ICE EDGE DRIFTING BUOY LIGHT UNLIT CHART BULLETIN STATION OBSERVED REPORT ALL SHIPS
	IN AREA NEAR CAPE ISLAND BANK CHANNEL OUTER INNER BAY AND FROM TO BECOMING AT TIMES EXPECTED MORNING NIGHT`)

// fit makes text that takes about so many seconds to send.
func fit(t *Transmission, seconds float64, r *rand.Rand) string {
	const share = 0.9          // figures are longer, and so are shifts between them and letters
	if t.Kind == Teleprinter { // a character has 7.5 elements
		return traffic.Any(r, int(max(share*seconds*t.Baud/7.5, 40)))
	}
	characters := share * seconds * t.WPM / 60 * 6 // a word of PARIS, the measure of speed, has five letters and a gap
	var b strings.Builder
	for float64(b.Len()) < max(characters, 40) {
		w := words[r.IntN(len(words))]
		if r.IntN(8) == 0 {
			w = strconv.Itoa(10 + r.IntN(990))
		}
		if b.Len() > 0 {
			b.WriteByte(' ')
		}
		b.WriteString(w)
	}
	return b.String()
}
