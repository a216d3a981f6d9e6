package mode

import (
	"github.com/spf13/pflag"

	"ionoscribe/internal/grade"
)

// Text is what commands must know of a mode that prints text. Each makes a new set of options, for one command.
type Text struct {
	Receive func() Receiver
	Send    func() Sender
	Grade   func() Grader
	// HzKey is what JSON calls the frequency of a signal in the audio: "pitch_hz"; "": "hz".
	HzKey string
}

// Help is what the help of a command says of a mode. What is said of all modes follows the first paragraph of Long.
type Help struct {
	Short, Long, Example string
	// Table is what a receiver prints in lines that begin with a star; "": what is received when it changes.
	Table string
}

// Receiver has the options of the command that receives.
type Receiver interface {
	Help() Help
	AddFlags(f *pflag.FlagSet)
	// NewDecoder is that of [Mode], as the options say; it fails too if they are wrong.
	NewDecoder(Order, Told) (Decoder, error)
	// All says that every signal is printed, and Anywhere that none is ordered to be at some frequency.
	All() bool
	Anywhere() bool
}

// Sender has the options of the command that sends text.
type Sender interface {
	Help() Help
	AddFlags(f *pflag.FlagSet)
	SampleRate() float64
	Sound(text string, amplitude float64, seed uint64) (Sound, error)
}

// Grader has the options of the command that grades.
type Grader interface {
	Help() Help // Long and Example are added behind those of all modes; there is no Short
	SNRs() string
	AddFlags(f *pflag.FlagSet)
	Mode() (grade.TextMode, error)
}
