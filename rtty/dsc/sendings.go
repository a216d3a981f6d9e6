package dsc

// Phasing signals (ITU-R M.493): one symbol in the DX places, and in the RX places symbols that count down to the first call symbol.
const (
	phasingDX     = Symbol(125)
	phasingRX     = Symbol(111) // the first, and one less in each place
	phasingPairs  = 6
	phasingPlaces = 2 * phasingPairs
	repeatPlaces  = 5 // from a symbol to its repetition
	repeatPairs   = repeatPlaces / 2
	trailingEnds  = 2 // ends of sequence after the check symbol, in DX places alone
)

// Elements of the dot pattern (ITU-R M.493).
const (
	LongDots  = 200
	ShortDots = 20 // of acknowledgements, and on VHF
)

// Sendings are the characters of a call in the order of their places, DX and RX in turn: phasing signals, the format specifier twice,
// the call's other symbols, its end, the check symbol and the end twice more. Each symbol from the format specifier to the check
// symbol comes again in the RX place five places later.
func Sendings(c Call) []Code {
	info := make([]Symbol, 0, len(c.Symbols)+2+trailingEnds+1)
	info = append(info, c.Symbols[0])
	info = append(info, c.Symbols...)
	info = append(info, c.End, c.Check())
	for range trailingEnds {
		info = append(info, c.End)
	}
	var all []Code
	for i := range phasingPairs {
		all = append(all, phasingDX.Code(), (phasingRX - Symbol(i)).Code())
	}
	for i, s := range info {
		rx := phasingRX - phasingPairs - Symbol(i)
		if i >= repeatPairs {
			rx = info[i-repeatPairs]
		}
		all = append(all, s.Code(), rx.Code())
	}
	return all
}

// Elements are those of a call, true for B, after a dot pattern of so many elements (ITU-R M.493: 200, or 20), which B and Y make in
// turn.
func Elements(c Call, dots int) (all []bool) {
	for i := range dots {
		all = append(all, i%2 == 0)
	}
	for _, code := range Sendings(c) {
		for i := range Units {
			all = append(all, code>>i&1 == 0)
		}
	}
	return all
}
