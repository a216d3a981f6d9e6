package traffic

import (
	"fmt"
	"math/rand/v2"
	"strings"

	"ionoscribe/rtty/dsc"
)

// Call invents a selective call of any kind from a station, whose identity is nine digits. Identities begin with 299, which no country
// has.
func Call(rng *rand.Rand, from string) dsc.Call {
	pick := func(all ...string) string { return all[rng.IntN(len(all))] }
	ship := func() string { return fmt.Sprintf("299%06d", rng.IntN(1e6)) }
	position := func() string {
		if rng.IntN(8) == 0 {
			return "position unknown; time unknown"
		}
		return fmt.Sprintf("position %02d-%02d%s %03d-%02d%s; time %02d:%02d", rng.IntN(80), rng.IntN(60), pick("N", "S"),
			rng.IntN(180), rng.IntN(60), pick("E", "W"), rng.IntN(24), rng.IntN(60))
	}
	nature := func() string {
		return pick("fire or explosion", "flooding", "collision", "grounding", "listing, in danger of capsizing", "sinking",
			"disabled and adrift", "undesignated", "abandoning ship", "piracy or armed attack", "man overboard")
	}
	hz := func() string { return fmt.Sprintf("%d.%d kHz", 1606+rng.IntN(2200), rng.IntN(10)) }
	frequencies := func() string {
		return pick("receive on "+hz()+"; transmit on none", "receive on "+hz()+"; transmit on "+hz(), "receive on channel "+
			fmt.Sprint(401+rng.IntN(30))+"; transmit on none")
	}
	alert := "; nature " + nature() + "; " + position() + "; then " + pick("J3E telephone", "F1B mode B")
	talk := "; telecommand J3E telephone; second telecommand no information; "
	var line string
	switch rng.IntN(7) {
	case 0:
		line = "distress alert; from " + from + alert
	case 1:
		line = "all ships call; category distress; from " + from + "; telecommand distress acknowledgement; in distress " + ship() + alert
	case 2:
		line = fmt.Sprintf("area call; area %02dN %03dE, %02d south, %02d east; category distress; from %s; telecommand distress relay; in distress %s%s; end request",
			1+rng.IntN(89), rng.IntN(180), 1+rng.IntN(30), 1+rng.IntN(30), from, ship(), alert)
	case 3:
		line = "all ships call; category " + pick("safety", "urgency") + "; from " + from + talk + frequencies()
	case 4:
		line = "group call; to 0" + ship()[:8] + "; category " + pick("routine", "safety") + "; from " + from + talk + frequencies()
	case 5:
		line = "individual call; to " + ship() + "; category safety; from " + from +
			"; telecommand position or registration; second telecommand no information; " + position() + "; end answer"
	default:
		line = "individual call; to 00" + ship()[:7] + "; category routine; from " + from + talk + frequencies() + "; end " + pick("request", "answer")
	}
	c, err := dsc.Parse(line)
	if err != nil {
		panic("traffic: " + strings.TrimSpace(line) + ": " + err.Error()) // the words are ours
	}
	return c
}
