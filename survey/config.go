package survey

import (
	"fmt"

	"ionoscribe/internal/mode"
	"ionoscribe/internal/modes"
)

// Kind is what a transmission is: the name of a mode, or one of those here.
type Kind string

// Kinds of what is of no mode. Other is speech, long static and anything else that is not recognized.
const (
	Other   Kind = "other"
	Carrier Kind = "carrier"
)

// Settings are those of a transmission, such as its speed: [rtty.Settings], [cw.Settings] or [fax.Settings].
type Settings = mode.Settings

// Finding is a transmission.
type Finding struct {
	ID   int // from 1, the same in all events of a transmission
	Kind Kind
	// Hz is the middle between the tones of a teleprinter, the pitch of Morse, the sub-carrier of a fax, midway between
	// black and white, and of others the middle.
	Hz            float64
	LowHz, HighHz float64  // edges
	Begin, End    int64    // sample indices; until Ended, End is when it was heard last
	SNR           float64  // dB in 2500 Hz: of Morse with the key down, of all else in the mean
	Confidence    float64  // that it is of this kind
	Settings      Settings // nil: of no mode
}

// Events are called from inside Write, WriteIQ and Flush; nil is "not wanted". A hook may call [Survey.Samples],
// [Survey.IQ] and [Survey.First], and nothing else of the survey.
type Events struct {
	Found   func(Finding) // its kind is sure: some seconds after its beginning
	Changed func(Finding) // more is known, or its kind was another
	Ended   func(Finding) // final; it has been silent for as long as a fade may last
}

// Config is complete with SampleRate alone, for audio.
type Config struct {
	SampleRate float64 // Hz, 6000 to 192000; required
	IQ         bool    // complex samples are written, with WriteIQ
	// LowHz and HighHz bound what is searched; zero: of audio 200 and 3600 Hz, of complex samples 96 % of the band, and
	// never more than 47 % of the sample rate.
	LowHz, HighHz float64
	Modes         []*mode.Mode // that are looked for; nil: all
}

// The band of audio.
const (
	audioLowHz, audioHighHz = 200.0, 3600.0
	bandShare               = 0.48 // of the sample rate, to either side
	leastWidthHz            = 500.0
)

func (c *Config) check() error {
	if c.Modes == nil {
		c.Modes = modes.All
	}
	if !(c.SampleRate >= 6000 && c.SampleRate <= 192000) {
		return fmt.Errorf("survey: sample rate of %g Hz is not between 6000 and 192000", c.SampleRate)
	}
	edge := bandShare * c.SampleRate
	low, high := audioLowHz, min(audioHighHz, edge)
	if c.IQ {
		low, high = -edge, edge
	}
	if c.LowHz == 0 && c.HighHz == 0 {
		c.LowHz, c.HighHz = low, high
	}
	if c.IQ {
		edge = -edge
	} else {
		edge = 0
	}
	if !(c.LowHz >= edge && c.HighHz <= bandShare*c.SampleRate && c.HighHz-c.LowHz >= leastWidthHz) {
		return fmt.Errorf("survey: from %g to %g Hz is no range of at least %g Hz within the band", c.LowHz, c.HighHz, leastWidthHz)
	}
	return nil
}

// Title is what a finding is, in a word or some: "rtty 50 Bd, 450 Hz".
func (f Finding) Title() string {
	if f.Settings == nil || f.Settings.Short() == "" {
		return string(f.Kind)
	}
	return string(f.Kind) + " " + f.Settings.Short()
}
