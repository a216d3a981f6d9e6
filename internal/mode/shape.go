package mode

// Shape is by what a survey finds candidates for a mode. One of Line, Pair, Phase and Area is set.
type Shape struct {
	// CutHz is where the middle of a candidate is in the cut of samples that a judge gets.
	CutHz float64
	// GapSeconds is how long a transmission may not be heard, by fading or between two of its parts, and goes on.
	GapSeconds float64
	// Even says that it is sent with even power, as frequency modulation has it: speech in its place is told by its gaps.
	Even bool
	// LeastSure is the Sure of a verdict from which on it is believed.
	LeastSure float64
	// MarginHz beside its edges what is heard belongs to it.
	MarginHz float64

	Line  *Line
	Pair  *Pair
	Phase *Phase
	Area  *Area
}

// Line is a single frequency that is switched on and off.
type Line struct {
	// Fit compares the lengths of marks and gaps, in cells of CellSeconds, with those of the mode: by how much they stray, as
	// the rms of the logarithm of their ratios, from those of the settings that fit best.
	Fit func(marks, gaps []float64) (stray float64, best Settings)
}

// CellSeconds is the unit of lengths of marks and gaps.
const CellSeconds = 0.005

// Pair is two frequencies that sound in turn.
type Pair struct {
	LeastShiftHz, MostShiftHz float64
	// LongestSeconds is how long one lasts: a candidate that has been heard for longer is none; 0: it may last for ever.
	LongestSeconds float64
	// Guess are settings of which the shift alone is known.
	Guess func(shiftHz float64) Settings
	// Tones are the distance of the frequencies in Hz and how many elements a second are sent, in baud.
	Tones func(Settings) (shiftHz, baud float64)
}

// Phase is a single frequency whose phase changes from symbol to symbol, and whose amplitude dips where it does.
type Phase struct {
	Baud float64 // symbols a second
}

// Area is a range of frequencies filled by frequency modulation between two levels, after a control tone whose lines lie at
// its multiples from the middle.
type Area struct {
	DeviationHz float64   // from the middle to either level
	ReachHz     float64   // from the middle to the edges
	CutHz       float64   // from the middle to the edges of a cut
	OffHz       float64   // that the middle may be from CutHz of the shape in audio, by a receiver that is off tune
	StartHz     []float64 // control tones that begin one
	StopHz      float64   // that which ends one
	// Announced are settings as a control tone tells them.
	Announced func(toneHz float64) Settings
	// Learn adds to what is known what a judge heard later.
	Learn func(known, heard Settings) Settings
	// Complete says that nothing is left to be learnt.
	Complete func(Settings) bool
}

// Judge says whether a candidate is of its mode. It is used again and again, for cuts of few sample rates.
type Judge interface {
	// Judge hears a cut of a sample rate in Hz, with the candidate alone at CutHz; guess may be nil.
	Judge(audio []float32, rate float64, guess Settings) Verdict
}

// Verdict is what a judge makes of a cut.
type Verdict struct {
	Is         bool // it is one, as it seems
	Settings   Settings
	Hz         float64 // where its middle is in the cut
	SNR        float64 // dB in 2500 Hz, of a Line with the key down
	Characters int     // printed; 0 of a mode that prints none
	Sure       float64 // mean confidence of the characters, 0 to 1
	// Confidence that it is of this mode, 0 to 1: of the verdicts of several judges the greatest one wins.
	Confidence float64
	Work       float64 // that it took, in microseconds of a processor of 2 to 3 GHz, counted and not clocked
}
