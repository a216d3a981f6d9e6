package traffic

import (
	"strconv"
	"strings"
)

var (
	plain = strings.Fields(`GALE WARNING FORECAST FOR THE NEXT HOURS WIND NORTH SOUTH EAST WEST BACKING VEERING INCREASING
LATER ROUGH MODERATE SLIGHT SEA SWELL RAIN SHOWERS FOG BANKS GOOD POOR VISIBILITY LOW HIGH PRESSURE RISING FALLING SLOWLY
RAPIDLY FRONT TROUGH RIDGE ICE EDGE DRIFTING BUOY LIGHT UNLIT CHART BULLETIN STATION OBSERVED REPORT ALL SHIPS IN AREA NEAR
CAPE ISLAND BANK CHANNEL OUTER INNER BAY AND FROM TO BECOMING AT TIMES EXPECTED MORNING NIGHT QUIET ZONE OF JET EXCEPT`)
	topRow = strings.Fields(`WE WROTE OUR QUIET PROPERTY REPORT TO YOU POWER WRITE PORT TOWER ROUTE UPPER OUTER TERRITORY
REQUIRE TRY WIRE PIPE TYPEWRITER ROPE QUITE ERROR PIER POTTERY TREE TWO ORE OUTPUT RETIRE TWITTER`)
	markers = []string{"RY", "RYRYRYRYRY", "SGSG", "TEST", "QWERTYUIOP", "U", "55555", "VVV", "6464"}
)

// words writes the next word or line of a kind.
var words = map[Kind]func(*writer){
	Marker: func(w *writer) {
		// In one of three messages the marker goes on to the end, else for a part of it, then calls and words follow. One
		// of a single letter always ends: no one can tell its character for ever, since it has no other to compare with.
		m := markers[w.choose(len(markers))]
		run := w.most
		if alone := strings.Trim(m, m[:1]) == ""; alone || w.rng.IntN(3) > 0 {
			run = 2 + w.rng.IntN(max(1, w.most/2))
		}
		spaced := len(m) > 2 && w.rng.IntN(2) == 0
		for w.text.Len() < run {
			if spaced {
				w.word("%s", m)
			} else if w.text.WriteString(m); w.column >= lineLength {
				w.line()
			} else {
				w.column += len(m)
			}
		}
		w.word("DE")
		for w.text.Len() < w.most {
			w.word("%s", w.call())
			w.word("%s", w.one(plain))
		}
	},
	Fox: func(w *writer) {
		for _, s := range strings.Fields("THE QUICK BROWN FOX JUMPS OVER THE LAZY DOG 1234567890") {
			w.word("%s", s)
		}
		w.line()
	},
	Calls: func(w *writer) {
		to, from := w.call(), w.call()
		for _, s := range []string{to, to, "DE", from, from, "QTC", strconv.Itoa(1 + w.rng.IntN(9)), "AR", "K"} {
			w.word("%s", s)
		}
		w.line()
	},
	Groups: func(w *writer) {
		var g [5]byte
		for i := range g {
			g[i] = byte('A' + w.rng.IntN(26))
		}
		w.word("%s", g[:])
	},
	Numbers: func(w *writer) { w.word("%05d", w.rng.IntN(100000)) },
	Synop: func(w *writer) {
		if w.text.Len() == 0 {
			w.word("ZCZC %03d", w.rng.IntN(1000))
			w.line()
			w.word("SMXX%d XOST %02d%02d00", 1+w.rng.IntN(9), 1+w.rng.IntN(28), w.rng.IntN(24))
			w.line()
			w.word("AAXX %02d%02d1", 1+w.rng.IntN(28), w.rng.IntN(24))
			w.line()
		}
		w.word("%05d", w.rng.IntN(100000))
		for g := range 4 + w.rng.IntN(3) {
			if w.rng.IntN(12) == 0 {
				w.word("%d////", g+1)
				continue
			}
			w.word("%d%04d", g+1, w.rng.IntN(10000))
		}
		w.text.WriteByte('=')
		w.line()
	},
	Ship: func(w *writer) {
		w.word("BBXX")
		w.word("%s", w.call())
		w.word("%02d%02d4", 1+w.rng.IntN(28), 6*w.rng.IntN(4))
		w.word("99%03d", w.rng.IntN(900))
		w.word("%d%04d", 1+2*w.rng.IntN(4), w.rng.IntN(1800))
		for range 3 + w.rng.IntN(4) {
			w.word("%05d", w.rng.IntN(100000))
		}
		w.text.WriteByte('=')
		w.line()
	},
	List: func(w *writer) {
		w.word("%d.", w.rng.IntN(100))
		w.word("%02d.%d/%03d.%d", w.rng.IntN(80), w.rng.IntN(10), w.rng.IntN(180), w.rng.IntN(10))
		w.word("%02d:%02d", w.rng.IntN(24), w.rng.IntN(60))
		w.word("-%d,%d", w.rng.IntN(30), w.rng.IntN(10))
		w.word("(%d)", 970+w.rng.IntN(70))
		w.line()
	},
	TopRow: func(w *writer) { w.word("%s", w.one(topRow)) },
	Repeated: func(w *writer) {
		i := w.choose(len(plain) * len(topRow))
		w.word("%s", plain[i%len(plain)])
		w.word("%s", topRow[i/len(plain)])
	},
	Bulletin: func(w *writer) {
		switch w.rng.IntN(12) {
		case 0:
			w.word("%d", 970+w.rng.IntN(70))
		case 1:
			w.word("%d-%d", 4+w.rng.IntN(4), 8+w.rng.IntN(4))
		case 2:
			w.word("%s,", w.one(plain))
		default:
			w.word("%s", w.one(plain))
		}
	},
	Mixed: func(w *writer) {
		var g [5]byte
		for i := range g {
			g[i] = "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789"[w.rng.IntN(36)]
		}
		w.word("%s", g[:])
	},
	Letter: func(w *writer) {
		c := "ETOAINSRHDLUCMFYWGPBVKXQJZ1357"[w.rng.IntN(30)]
		w.word("%s", strings.Repeat(string(c), 1+w.rng.IntN(20)))
		w.word("%s", w.one(plain))
	},
}
