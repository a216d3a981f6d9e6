package grade

import (
	"context"
	"fmt"
	"math/rand/v2"

	"ionoscribe/demod"
	"ionoscribe/internal/theory"
	"ionoscribe/internal/trials"
	"ionoscribe/samples"
)

// TextMode is all that a plan must know of a mode that sends text; a new mode is one of these. Its functions are
// called from several goroutines.
type TextMode struct {
	Name       string  // of the command: rtty
	Title      string  // in a sentence: radioteletype
	SampleRate float64 // Hz, of pure noise for Receive
	// Message invents a message of so many characters, as a receiver without errors prints it.
	Message func(rng *rand.Rand, characters int) string
	// Send makes its audio, with what differs from trial to trial drawn from rng: tuning, speed, hand.
	Send func(message string, rng *rand.Rand) (TextSignal, error)
	// Receive decodes audio to its end with nothing ordered.
	Receive func(src demod.SampleReader) ([]HeardChar, error)
	// Theory is what receivers on paper reach on a channel, nil being white noise alone; may be nil.
	Theory func(c *samples.Channel) []theory.Curve
}

// TextSignal is a message as audio, clean.
type TextSignal struct {
	Source demod.SampleReader
	Power  float64 // mean square; for Morse with the key down
	Start  float64 // seconds from the beginning of Source to that of the first character
}

// HeardChar is a character that a decoder printed.
type HeardChar struct {
	Rune       rune
	At         float64 // seconds from the beginning of the audio to that of the character
	Confidence float64 // of characters marked 0.9, nine in ten should be right
}

// TextGrades is a plan of messages that are sent through a channel at some SNRs. All fields but Channel and
// Recording are required.
type TextGrades struct {
	Mode       TextMode
	SNRs       []float64        // dB in 2500 Hz
	Channel    *samples.Channel // nil: white noise alone
	Characters int              // at each SNR, at least
	Length     int              // characters of a message
	Seed       uint64           // of everything random
	Recording  *Recording       // nil: none
}

// Theory is that of the plan's mode on its channel.
func (p TextGrades) Theory() []theory.Curve {
	if p.Mode.Theory == nil {
		return nil
	}
	return p.Mode.Theory(p.Channel)
}

// Trials is the number of messages at each SNR.
func (p TextGrades) Trials() int { return (p.Characters + p.Length - 1) / p.Length }

// TextGrade is what became of one message.
type TextGrade struct {
	Mode      string  `json:"mode"`
	Channel   string  `json:"channel"`
	SNR       float64 `json:"snr_db"`
	Trial     int     `json:"trial"` // 1 to Trials
	Seed      uint64  `json:"seed"`
	Recording string  `json:"recording"`

	Sent  int `json:"sent"`  // characters
	Heard int `json:"heard"` // characters
	Edits
	// FirstRight is how many seconds after the message's beginning that of the first character was which was
	// printed rightly; nil: none was.
	FirstRight  *float64    `json:"first_right_seconds"`
	Calibration Calibration `json:"calibration"`

	printed string
	before  int // characters printed of what was heard before the message
}

// Run sends the messages, on all cores, and calls each with their grades, in order: by SNR, then trial. What it
// reports does not depend on the number of cores. It returns early if ctx is done.
func (p TextGrades) Run(ctx context.Context, each func(TextGrade)) error {
	number := p.Trials()
	return trials.InOrder(ctx, len(p.SNRs)*number, func(ctx context.Context, i int) (TextGrade, error) {
		return p.trial(ctx, p.SNRs[i/number], i%number+1)
	}, each)
}

func (p TextGrades) trial(ctx context.Context, snr float64, number int) (TextGrade, error) {
	g := TextGrade{Mode: p.Mode.Name, Channel: channelName(p.Channel), SNR: snr, Trial: number, Recording: p.Recording.String()}
	g.Seed = trialSeed(p.Seed, p.Mode.Name, p.Channel, snr, number)
	rng := rand.New(rand.NewPCG(g.Seed, 0x74657874))
	message := p.Mode.Message(rng, p.Length)
	signal, err := p.Mode.Send(message, rng)
	if err != nil {
		return g, err
	}
	src, err := spoil(signal.Source, signal.Power, p.Channel, snr, g.Seed)
	if err != nil {
		return g, err
	}
	if src, err = p.Recording.Through(src); err != nil {
		return g, err
	}
	heard, err := p.Mode.Receive(trials.Until(ctx, src))
	if err != nil {
		return g, err
	}
	return g, g.score([]rune(message), heard, signal.Start)
}

// score compares what was heard with what was sent.
func (g *TextGrade) score(sent []rune, heard []HeardChar, start float64) error {
	text := make([]rune, len(heard))
	for i, c := range heard {
		text[i] = c.Rune
	}
	var right []bool
	g.Sent, g.Heard = len(sent), len(heard)
	g.Edits, right = align(sent, text)
	for i, c := range heard {
		if !(c.Confidence >= 0 && c.Confidence <= 1) {
			return fmt.Errorf("grading %s: %q came with a confidence of %v, which is not within 0 and 1", g.Mode, c.Rune, c.Confidence)
		}
		g.Calibration.add(c.Confidence, right[i])
		if right[i] && g.FirstRight == nil {
			late := c.At - start
			g.FirstRight = &late
		}
	}
	return nil
}
