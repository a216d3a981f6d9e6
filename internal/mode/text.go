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
}

// Help is what the help of a command says of a mode.
type Help struct {
	Short, Long, Example string
}

// Receiver has the options of the command that receives.
type Receiver interface {
	Help() Help
	AddFlags(f *pflag.FlagSet)
	Check() error
	NewDecoder(Order, Told) (Decoder, error)
	// All says that every signal is printed, and Anywhere that this is so wherever it is.
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
	Help() Help // Long and Example are added to those of all modes
	SNRs() string
	AddFlags(f *pflag.FlagSet)
	Mode() (grade.TextMode, error)
}
