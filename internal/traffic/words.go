package traffic

import (
	"fmt"
	"math/rand/v2"
	"strings"
)

// Group is five letters at random.
func Group(rng *rand.Rand) string {
	var g [5]byte
	for i := range g {
		g[i] = byte('A' + rng.IntN(26))
	}
	return string(g[:])
}

var bulletinWords = strings.Fields(`GALE WARNING FOR SHIPPING ISSUED BY THE SERVICE AT LOW MOVING NORTH EAST AND DEEPENING WIND
SOUTHWEST INCREASING LATER VEERING WEST VISIBILITY MODERATE OR POOR IN RAIN SEA ROUGH HIGH PRESSURE OVER THE OCEAN
EXPECTED TO WEAKEN COLD FRONT PASSING DURING THE NIGHT FAIR THEN SHOWERS ICE REPORTED NEAR CAPE SHIPS ARE ASKED TO
KEEP A GOOD LOOKOUT NEXT BULLETIN WILL FOLLOW FORECAST UNTIL TOMORROW QUIET ZONE OF JET EXCEPT BAY`)

// Word is a word, or in one of ten cases a number as bulletins have them.
func Word(rng *rand.Rand) string {
	if rng.IntN(10) > 0 {
		return bulletinWords[rng.IntN(len(bulletinWords))]
	}
	switch rng.IntN(3) {
	case 0:
		return fmt.Sprintf("%d", 970+rng.IntN(70))
	case 1:
		return fmt.Sprintf("%d-%d", 4+rng.IntN(4), 8+rng.IntN(4))
	}
	return fmt.Sprintf("%02d.%d,", rng.IntN(60), rng.IntN(10))
}
