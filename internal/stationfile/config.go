package stationfile

import (
	"time"

	"ionoscribe/internal/access"
	"ionoscribe/internal/alerts"
	"ionoscribe/internal/programme"
)

// Name is that of the file in the folder of a station.
const Name = "station.toml"

// Config is the configuration of a station; it is not changed once it is read.
type Config struct {
	Path  string // of the file
	Name  string // of the station
	Place string
	Page  access.Config // where the page is served, and to whom

	Receivers      []Receiver
	Programme      []programme.Entry // of the file, and of all programme files
	ProgrammeFiles []string          // paths
	Keep           Keep
	Alerts         []alerts.Rule
	Ways           []alerts.WayConfig // out, for alerts

	files files // that it is of
}

// Receiver is one that the station listens to.
type Receiver struct {
	Name     string   // letters, digits, - . and _
	Source   string   // all that copy takes, with settings of its own
	DialHz   float64  // 0: the source knows
	Sideband string   // upper or lower
	IQ       string   // form of I and Q; "": audio
	Channel  string   // left, right, mix or its number
	Place    string   // the station's, if it has none of its own
	Modes    []string // names of those to copy; nil: all
	Hours    []Hours  // in which it is listened to; nil: always
	Tune     *Tune    // nil: it is never tuned
	// Sound is how much of its sound is kept, at most SoundBytes; zero: none, and no such limit.
	Sound      time.Duration
	SoundBytes int64
}

// Hours are a part of each day, UTC; it goes over midnight if the end is not after the beginning.
type Hours struct{ From, To programme.Clock }

// Tune is a command of the user's own.
type Tune struct {
	Command []string // program and arguments, with Placeholders in them
	Timeout time.Duration
}

// Placeholders stand in the arguments of [Tune] for what is wanted: the receiver, its dial frequency, sideband and mode.
var Placeholders = []string{"{receiver}", "{hz}", "{khz}", "{sideband}", "{mode}"}

// Keep says what is kept, and for how long.
type Keep struct{ Charts, Texts, Videos Limit }

// Limit is reached by whichever comes first; zero fields are none.
type Limit struct {
	Age   time.Duration
	Bytes int64
}
