package archive

import (
	"image"
	"time"

	"ionoscribe/internal/chartfile"
)

// ID is the number of a transmission in the archive, from 1; 0 is none.
type ID int64

// State says whether a transmission has ended.
type State int

const (
	Arriving State = iota // it is being received
	Complete              // its end was heard
	Cut                   // the program ended while it was received
)

// Transmission is what is known of one. What its comment calls computed is not taken from those who tell.
type Transmission struct {
	ID       ID // computed
	Receiver string
	Source   string
	Mode     string // name of a mode, or a survey.Kind
	Settings string // in words
	OnAir    bool   // frequencies are those on the air, and not in the audio
	Hz       float64
	LowHz    float64
	HighHz   float64
	Begun    time.Time // UTC
	Ended    time.Time // UTC; while it arrives, when it was heard last
	State    State     // computed
	TimeFrom string    // how the time is known
	SNR      float64   // dB in 2500 Hz
	Copied   bool      // it has, or had, a decoder
	Title    string
	Entry    string // ID of the programme entry

	Notes     string // see Note
	Rating    int    // 0: none, 1 to 5
	Favourite bool   // it is kept for ever

	Quality    float64 // computed, 0 to 1: of the lines of its charts, or the confidence of its characters, in the mean
	Lines      int     // computed, of text
	Characters int     // computed
	Doubtful   int     // computed: characters with a confidence below [Doubt]
}

// Doubt is the confidence below which a character may be another one: fewer than half of those are right.
const Doubt = 0.5

// Char is a character, or what stands for a procedure signal or a control.
type Char struct {
	At           time.Time
	Text         string  // "\n" ends a line
	Confidence   float64 // 0 to 1
	Alternatives []string
}

// Line is a line of text.
type Line struct {
	Transmission ID
	Number       int // from 0
	Begun, Ended time.Time
	Text         string
	Chars        []Char // whose texts make up Text
}

// Chart is one that is saved.
type Chart struct {
	ID           int64 // computed
	Transmission ID
	Title        string // "": that of its transmission
	Entry        string // ID of the programme entry
	Picture      string // path of its file; in the database it counts from the station's folder
	Video        string // path, or ""
	Info         chartfile.Info
	Image        *image.Gray // for the thumbnail; nil: it is read from the file
	Thumbnail    []byte      // computed: a PNG
	PictureBytes int64       // computed
	VideoBytes   int64       // computed
	Version                  // computed
}

// Level is the strength of a transmission at a time.
type Level struct {
	At  time.Time
	SNR float64 // dB in 2500 Hz
}

// What says what an incident is.
type What string

const (
	Gap     What = "gap"     // samples were lost
	Trouble What = "trouble" // something failed; all else went on
	Clock   What = "clock"   // the clock was set
	Started What = "started" // the station, or a receiver's source
	Stopped What = "stopped"
	Ill     What = "ill" // alerts were told of what is wrong, such as "silent: no samples since 12:00:00Z"
)

// Incident is what happened to a receiver or the station and is no transmission.
type Incident struct {
	At           time.Time
	What         What
	Receiver     string // "": the station
	Transmission ID     // or 0
	Seconds      float64
	Text         string
}

// Outcome is what became of an occurrence of a programme entry.
type Outcome string

const (
	Due    Outcome = "due"    // it may still come
	Came   Outcome = "came"   // it was received
	Poor   Outcome = "poor"   // it was received badly
	Missed Outcome = "missed" // it did not come
)

// Expected is an occurrence of a programme entry. There is one of each Key and Receiver.
type Expected struct {
	Key          string // of the occurrence
	Receiver     string // "": any
	Entry        string // ID of the programme entry
	Title        string
	Mode         string
	Hz           float64
	At           time.Time // when it is due
	Closes       time.Time // until when it may begin
	Outcome      Outcome
	Transmission ID // that it was
	Quality      float64
	Why          string // such as why it was missed, if that is known
}

// Note is what a person says of a transmission; nil says nothing.
type Note struct {
	Title     *string
	Notes     *string
	Rating    *int // 0 to 5
	Favourite *bool
}

// Deletion is something that was deleted.
type Deletion struct {
	At           time.Time
	Kind         Kind
	Path         string // of a file, from the station's folder
	Transmission ID
	Title        string // of what it was
	Begun        time.Time
	Bytes        int64
	Reason       string // a sentence
}

// Kind is what retention tells apart.
type Kind string

const (
	Charts Kind = "charts"
	Texts  Kind = "texts"
	Videos Kind = "videos"
	Sound  Kind = "sound"
)
