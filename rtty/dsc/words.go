package dsc

// Symbols that decide what follows.
const (
	formatArea       = Symbol(102)
	formatDistress   = Symbol(112)
	formatGroup      = Symbol(114)
	formatAllShips   = Symbol(116)
	formatIndividual = Symbol(120)
	formatAutomatic  = Symbol(123)

	categoryDistress = Symbol(112)

	positionFollows = Symbol(55) // in place of a frequency
	noInformation   = Symbol(126)
)

// Ends of sequence.
const (
	EndRequest = Symbol(117) // an answer is wanted
	EndAnswer  = Symbol(122) // it is one
	EndOther   = Symbol(127)
)

// words are what symbols mean in one place.
type words map[Symbol]string

var formats = words{
	formatArea:       "area call",
	formatDistress:   "distress alert",
	formatGroup:      "group call",
	formatAllShips:   "all ships call",
	formatIndividual: "individual call",
	formatAutomatic:  "individual call to an automatic service",
}

var categories = words{
	100:              "routine",
	106:              "ship's business",
	108:              "safety",
	110:              "urgency",
	categoryDistress: "distress",
}

var natures = words{
	100: "fire or explosion",
	101: "flooding",
	102: "collision",
	103: "grounding",
	104: "listing, in danger of capsizing",
	105: "sinking",
	106: "disabled and adrift",
	107: "undesignated",
	108: "abandoning ship",
	109: "piracy or armed attack",
	110: "man overboard",
	112: "emergency beacon",
}

// telecommands are the first ones, which also say how to go on after a distress alert.
var telecommands = words{
	100: "F3E telephone",
	101: "F3E duplex telephone",
	103: "polling",
	104: "unable to comply",
	105: "end of call",
	106: "data",
	109: "J3E telephone",
	110: "distress acknowledgement",
	112: "distress relay",
	113: "F1B mode B",
	115: "F1B mode A",
	118: "test",
	121: "position or registration",
	126: "no information",
}

// reasons are the second telecommands.
var reasons = words{
	100: "no reason given",
	101: "congestion",
	102: "busy",
	103: "queue",
	104: "station barred",
	105: "no operator",
	106: "operator away",
	107: "equipment off",
	108: "channel not possible",
	109: "mode not possible",
	110: "neutral state",
	111: "medical transport",
	112: "public call office",
	113: "facsimile",
	126: "no information",
}

var ends = words{
	EndRequest: "request",
	EndAnswer:  "answer",
	EndOther:   "none",
}

// symbol is the one of a meaning.
func (w words) symbol(meaning string) (Symbol, bool) {
	for s, m := range w {
		if m == meaning {
			return s, true
		}
	}
	return 0, false
}
