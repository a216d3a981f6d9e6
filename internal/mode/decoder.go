package mode

import (
	"math/rand/v2"

	"ionoscribe/demod"
	"ionoscribe/fax"
)

// Decoder takes audio block by block. One that draws charts is a [Charter] too.
type Decoder = demod.Decoder

// Charter draws charts.
type Charter interface {
	SoFar() *fax.Undrawn
	Arriving() (fax.Arriving, *fax.Video)
}

// Order is what is known when a decoder is made.
type Order struct {
	SampleRate float64  // Hz
	Hz         float64  // middle of the transmission in the audio; 0: it is found
	Settings   Settings // nil: they are found
	// Free says that Settings are not to be relied on any more.
	Free bool
}

// Told are the hooks of a decoder, called from inside Write and Flush; nil is "not wanted".
type Told struct {
	Text    func(Heard) // a character, or what a procedure signal or a control is shown as
	State   func(Heard) // a change of what is received
	Undrawn func(*fax.Undrawn)
}

// Heard is a character or a change of what is received.
type Heard struct {
	At         int64   // sample index
	Signal     int     // from 1, of several at a time; 0: there is one at a time
	Hz         float64 // where it is in the audio; 0: it is not told
	Text       string
	Confidence float64 // of Text
	Lost       bool    // of a state: nothing is received any more
	// Settings are those with which it is received, of a state; nil: they are not known, or it is lost.
	Settings Settings
	// Words is a state in words: "45.45 Bd  mark lower  20.1 dB".
	Words string
	// Fields is a struct of what else is told, as JSON has it.
	Fields any
}

// Brief is what is wanted of an invented transmission.
type Brief struct {
	Random     *rand.Rand
	SampleRate float64 // Hz
	Low, High  float64 // Hz, between which all of it is; the same: its middle is there
	Seconds    float64 // that it takes, about; one that draws charts of Short ones takes its own time
	Short      bool    // charts of 20 to 35 s
	ByMachine  bool    // no hand sends, whose text is told with more or less luck
	Seed       uint64
	// Text makes text of so many characters: capital letters, figures and signs of ITA2.
	Text func(characters int) string
}

// Invented is a transmission.
type Invented struct {
	Sound     Sound // amplitude 1
	Hz        float64
	Low, High float64 // Hz, edges that are kept free
	Settings  Settings
	Text      string
	Lines     int    // of a chart
	Detail    string // such as by what hand it is sent
}

// Sound is a signal that ends.
type Sound interface {
	demod.SampleReader
	Power() float64    // mean square; of a Line with the key down
	Duration() float64 // seconds
}
