package alerts

import "time"

// What says what an event tells of, and what an alert is about.
type What string

const (
	SignalBegan  What = "signal"       // a transmission was found
	SignalText   What = "text"         // a character of a transmission
	SignalEnded  What = "ended"        // of a transmission: nothing more comes of it
	EntryCame    What = "came"         // a programme entry came
	EntryMissed  What = "missed"       // a programme entry did not come
	EntryPoor    What = "poor"         // a programme entry came badly
	Silent       What = "silent"       // a receiver gives no samples, or flat ones
	Overloaded   What = "overloaded"   // a receiver is too loud
	Disconnected What = "disconnected" // a receiver's source is gone
	ClockRuns    What = "clock"        // a receiver's clock runs away
	DiskFull     What = "disk_full"
	NotKept      What = "not_kept"    // what is heard cannot be kept, for another reason than a full disk
	TuneFailed   What = "tune_failed" // the command that tunes a receiver failed
)

// Event is one thing that may meet a rule. Fields that say nothing of it are empty.
type Event struct {
	What         What
	UTC          time.Time
	Receiver     string
	Transmission int64 // its number in the archive
	Mode         string
	FrequencyHz  float64 // on the air
	Entry        string  // ID of the programme entry
	Title        string  // of the programme entry
	Text         string  // of SignalText: a character, or what stands for one
	Confidence   float64 // of Text, 0 to 1
	Detail       string  // in words: "no samples for 60 s"
}
