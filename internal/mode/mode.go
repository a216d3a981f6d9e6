package mode

import (
	"image/color"

	"ionoscribe/samples"
)

// Mode is one. All fields are required unless their comment says otherwise.
type Mode struct {
	Name   string     // its one name: of commands and files, in JSON, as a heading
	Title  string     // what sentences call it: "radioteletype"
	ADIF   string     // its name in logs (the enumeration of modes of ADIF); "": it has none
	Colour color.RGBA // of frames around it in pictures, which are dark

	// Fields is a struct of settings as JSON has them.
	Fields func(Settings) any
	// Reversed are settings as seen in the other sideband; nil: they are the same.
	Reversed func(Settings) Settings
	// Differ says that a decoder that is ordered some settings does not receive what is sent with others.
	Differ func(ordered, sent Settings) bool

	Shape    Shape
	NewJudge func() Judge
	// NewDecoder makes a decoder, which tells what it hears; it fails if there is none for the order.
	NewDecoder func(Order, Told) (Decoder, error)
	// Frees says that a decoder can be ordered to find settings other than those that were found first; see [Order].
	Frees bool
	// AudioHz is where in audio the middle of a transmission is put that may be put anywhere.
	AudioHz float64
	// OnlyThere says that its decoder hears it near AudioHz alone.
	OnlyThere bool

	// Invent invents a transmission, of random settings.
	Invent func(Brief) (Invented, error)
	// Variants are sent and received otherwise than what Invent invents; scenes have each as a kind of its own. nil: there are none.
	Variants []Variant
	// RoomHz is what a transmission in a busy band has to itself, on each side of its middle.
	RoomHz float64
	// InBand is how many there usually are in a busy band.
	InBand int
	// Beside makes one without end to be heard beside another signal, at a frequency in Hz; nil: there is none.
	Beside func(hz float64) func(rate float64, seed uint64) (samples.Signal, error)

	// Text is what commands must know of a mode that prints text; nil: it draws charts.
	Text *Text
}

// Variant is a way in which transmissions of a mode are sent that is unlike the usual one.
type Variant struct {
	Name   string
	Is     func(Settings) bool
	Invent func(Brief) (Invented, error)
}

// VariantOf is the name of the variant as which something is sent; "": as usual.
func (m *Mode) VariantOf(s Settings) string {
	for _, v := range m.Variants {
		if v.Is(s) {
			return v.Name
		}
	}
	return ""
}

// Settings are those of a transmission, such as its speed: comparable, and of one type for each mode.
type Settings interface {
	String() string // in words, for people: "50 Bd, shift 450 Hz"
	Short() string  // a label: "50 Bd, 450 Hz"; "" while there is nothing to say
}

// Find is the mode of a name; nil: there is none.
func Find(all []*Mode, name string) *Mode {
	for _, m := range all {
		if m.Name == name {
			return m
		}
	}
	return nil
}
