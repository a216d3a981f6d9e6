package live

import (
	"encoding/json"
	"math"
	"strconv"
	"time"

	"ionoscribe/internal/archive"
	"ionoscribe/internal/object"
	"ionoscribe/internal/station"
)

// Message is what a client is sent: an object of JSON, or bytes that are one row of a spectrum or of a chart.
type Message struct {
	Text []byte // JSON
	Data []byte // or binary, as row.go has it
}

// Char is a character with its confidence.
type Char struct {
	Text       string
	Confidence float64
}

// Chars are characters: [["A",0.93],["B",1]].
type Chars []Char

// MarshalJSON is written by hand: a new client gets thousands of characters.
func (all Chars) MarshalJSON() ([]byte, error) {
	const usual = len(`["A",0.93],`)
	b := append(make([]byte, 0, usual*len(all)+2), '[')
	for i, c := range all {
		if i > 0 {
			b = append(b, ',')
		}
		b = append(b, '[')
		if len(c.Text) == 1 && c.Text[0] >= ' ' && c.Text[0] < 0x7f && c.Text[0] != '"' && c.Text[0] != '\\' {
			b = append(b, '"', c.Text[0], '"')
		} else {
			b = append(b, encode(c.Text)...)
		}
		b = append(b, ',')
		b = strconv.AppendFloat(b, math.Round(c.Confidence*100)/100, 'f', -1, 64)
		b = append(b, ']')
	}
	return append(b, ']'), nil
}

// Receiver is what is told of a receiver. Frequencies are in Hz: on the air if that is known, and else in the audio or from the
// middle of the band.
type Receiver struct {
	Number    int            `json:"number"` // in rows
	Name      string         `json:"name"`
	Source    string         `json:"source"`
	Connected bool           `json:"connected"`
	Ended     bool           `json:"ended"`
	Since     string         `json:"since_utc"`
	Error     string         `json:"error,omitempty"`
	Tries     int            `json:"tries"`
	Rate      float64        `json:"rate_hz"`
	IQ        bool           `json:"iq"`
	OnAir     bool           `json:"on_air"`
	DialHz    float64        `json:"dial_hz"`
	DialFrom  string         `json:"dial_from,omitempty"`
	LowHz     float64        `json:"low_hz"` // edges of the rows of its spectrum
	HighHz    float64        `json:"high_hz"`
	Copying   int            `json:"copying"`
	Samples   int64          `json:"samples"`
	Lost      int64          `json:"lost_samples"`
	ClockPPM  float64        `json:"clock_ppm"`
	HeardTo   string         `json:"heard_to_utc,omitempty"`
	Level     *station.Level `json:"level,omitempty"`
}

// Going is a transmission under way.
type Going struct {
	archive.Transmission
	Text  Chars
	Chart *ChartSoFar
}

// ChartSoFar is how far a chart has come.
type ChartSoFar struct {
	Rows    int  `json:"rows"`
	Width   int  `json:"width"`
	Drawing bool `json:"drawing"` // it is complete, and being saved
}

// MarshalJSON gives the transmission's object with two keys more.
func (g Going) MarshalJSON() ([]byte, error) {
	return object.Join(g.Transmission, struct {
		Text  Chars       `json:"text"`
		Chart *ChartSoFar `json:"chart,omitempty"`
	}{g.Text, g.Chart})
}

// Now is the state of all.
type Now struct {
	Number        int64      `json:"number"` // of the last message
	UTC           string     `json:"utc"`    // the station's time
	Station       string     `json:"station"`
	Place         string     `json:"place,omitempty"`
	Receivers     []Receiver `json:"receivers"`
	Transmissions []Going    `json:"transmissions"`
}

// stamp is a time as JSON has it; "" if it is not known.
func stamp(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.UTC().Format("2006-01-02T15:04:05.000Z")
}

func encode(v any) []byte {
	b, err := json.Marshal(v)
	if err != nil {
		panic(err) // every message can be encoded
	}
	return b
}
