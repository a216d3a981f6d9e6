package rtty

// Modulation rates in use, in baud.
//
// 50, 75, 100, 110, 150, 200 and 300: rates of the ITU-T start-stop recommendations (S.3 applies up to 300 Bd; its
// considerings); the others are those of US machines, common practice, after the length of an element or the words
// a minute: 22 ms (60 words), 17.57 ms (75 words), 13.47 ms (100 words), from memory.
var Bauds = []float64{Baud45, 50, 56.9, 74.2, 75, 100, 110, 150, 200, 300}

// Baud45 is the rate of 22 ms elements that is called 45.45 Bd.
const Baud45 = 1 / 0.022

// Lengths in elements (ITU-T S.3, from memory). Receivers need one stop element; S.3's senders give 1.5; two are
// common practice at 110 Bd.
const StartElements = 1.0

// StopElements are the lengths of the stop element in use; US machines at 45.45 Bd have 31 ms, 1.41.
var StopElements = []float64{1, 1.5, 2}

// Distortion of start-stop signals: how far an edge may be from its place, reckoned from the edge of the start
// element, in elements (ITU-T S.3, from memory).
const (
	SenderDistortion = 0.05 // a sender's, at most
	ReceiverMargin   = 0.35 // that a receiver must bear, at least
)

// ShiftsHz are distances between mark and space in use. 200, 400 and 500 Hz are preferred by ITU-R F.246-3 (from
// memory), 85 and 450 Hz are the German Weather Service's (listeners' tables), the others common practice.
var ShiftsHz = []float64{85, 170, 200, 400, 425, 450, 500, 850}
