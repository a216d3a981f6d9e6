package archive

import (
	"encoding/json"
	"fmt"
	"math"
	"time"
	"unicode/utf16"
)

// timeForm is how times are written, UTC.
const timeForm = "2006-01-02T15:04:05Z"

func stamp(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.UTC().Round(time.Second).Format(timeForm)
}

// Frequency is where it is on the air in kHz, or in the audio in Hz.
func (t *Transmission) Frequency() string {
	if t.OnAir {
		return fmt.Sprintf("%.2f kHz", t.Hz/1000)
	}
	return fmt.Sprintf("%.0f Hz", t.Hz)
}

// Name is a state in words.
func (s State) String() string {
	switch s {
	case Arriving:
		return "arriving"
	case Complete:
		return "complete"
	}
	return "cut"
}

// Object is a transmission as JSON has it. What is not known is left out.
type Object struct {
	Number     ID      `json:"transmission"`
	Receiver   string  `json:"receiver"`
	Source     string  `json:"source,omitempty"`
	Mode       string  `json:"mode"`
	Settings   string  `json:"settings,omitempty"`
	State      string  `json:"state"`
	Begin      string  `json:"begin_utc"`
	End        string  `json:"end_utc"`
	TimeFrom   string  `json:"time_from,omitempty"`
	OnAir      bool    `json:"on_air"` // frequencies are those on the air
	Hz         float64 `json:"hz"`
	LowHz      float64 `json:"low_hz,omitempty"`
	HighHz     float64 `json:"high_hz,omitempty"`
	SNR        float64 `json:"snr_db"`
	Quality    float64 `json:"quality"`
	Title      string  `json:"title,omitempty"`
	Entry      string  `json:"programme_entry,omitempty"`
	Notes      string  `json:"notes,omitempty"`
	Rating     int     `json:"rating,omitempty"`
	Favourite  bool    `json:"favourite,omitempty"`
	Lines      int     `json:"lines,omitempty"`
	Characters int     `json:"characters,omitempty"`
	Doubtful   int     `json:"doubtful,omitempty"`
}

// Object is what JSON tells of a transmission.
func (t *Transmission) Object() Object {
	tenths := func(x float64) float64 { return math.Round(x*10) / 10 }
	return Object{t.ID, t.Receiver, t.Source, t.Mode, t.Settings, t.State.String(), milliStamp(t.Begun), milliStamp(t.Ended), t.TimeFrom, t.OnAir, tenths(t.Hz), tenths(t.LowHz), tenths(t.HighHz),
		tenths(t.SNR), thousandths(t.Quality), t.Title, t.Entry, t.Notes, t.Rating, t.Favourite, t.Lines, t.Characters, t.Doubtful}
}

// MarshalJSON gives what find shows of a transmission.
func (t Transmission) MarshalJSON() ([]byte, error) { return json.Marshal(t.Object()) }

func thousandths(x float64) float64 { return math.Round(x*1000) / 1000 }

func milliStamp(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.UTC().Format("2006-01-02T15:04:05.000Z")
}

// LineObject is a line as JSON has it.
type LineObject struct {
	Number     int          `json:"line"`
	Begin      string       `json:"begin_utc"`
	End        string       `json:"end_utc"`
	Text       string       `json:"text"`
	Matches    [][2]int     `json:"matches,omitempty"` // from and to in UTF-16 code units of the text
	MayBe      []string     `json:"may_be,omitempty"`  // of each match: the word that it may be, or "" where it was printed as it is
	Characters []CharObject `json:"characters,omitempty"`
}

// CharObject is a character as JSON has it.
type CharObject struct {
	Text         string   `json:"text"`
	At           string   `json:"utc"`
	Confidence   float64  `json:"confidence"`
	Alternatives []string `json:"alternatives,omitempty"`
}

// Object is what JSON tells of a line, without its characters.
func (l *Line) Object() LineObject {
	return LineObject{Number: l.Number, Begin: milliStamp(l.Begun), End: milliStamp(l.Ended), Text: l.Text}
}

// Whole is what JSON tells of a line, with its characters.
func (l *Line) Whole() LineObject {
	o := l.Object()
	for _, c := range l.Chars {
		o.Characters = append(o.Characters, CharObject{c.Text, milliStamp(c.At), math.Round(c.Confidence*100) / 100, c.Alternatives})
	}
	return o
}

// Mark adds matches to what JSON tells of a line.
func (o *LineObject) Mark(matches []Match) {
	readings := false
	for _, m := range matches {
		from := units(o.Text[:m.From])
		o.Matches = append(o.Matches, [2]int{from, from + units(o.Text[m.From:m.To])})
		o.MayBe = append(o.MayBe, m.MayBe)
		readings = readings || m.MayBe != ""
	}
	if !readings {
		o.MayBe = nil
	}
}

// units is the length of a text in UTF-16 code units, in which programs for browsers count.
func units(s string) (n int) {
	for _, r := range s {
		n += utf16.RuneLen(r)
	}
	return n
}

// MarshalJSON gives what find shows of a hit.
func (h Hit) MarshalJSON() ([]byte, error) {
	o := struct {
		Object
		Chart int64        `json:"chart,omitempty"`
		Found []LineObject `json:"found,omitempty"`
	}{h.Transmission.Object(), h.Chart, nil}
	for _, f := range h.Found {
		l := f.Object()
		l.Mark(f.Matches)
		o.Found = append(o.Found, l)
	}
	return json.Marshal(o)
}

// chartObject is a chart as JSON has it.
type chartObject struct {
	Number  int64           `json:"chart"`
	Title   string          `json:"title,omitempty"`
	Picture string          `json:"picture"`
	Video   string          `json:"video,omitempty"`
	Info    json.RawMessage `json:"info"`
}

// levelObject is a level as JSON has it.
type levelObject struct {
	At  string  `json:"utc"`
	SNR float64 `json:"snr_db"`
}

// MarshalJSON gives all of a transmission.
func (r Record) MarshalJSON() ([]byte, error) {
	o := struct {
		Object
		Text   []LineObject  `json:"text,omitempty"`
		Charts []chartObject `json:"charts,omitempty"`
		Levels []levelObject `json:"levels,omitempty"`
	}{Object: r.Transmission.Object()}
	for _, l := range r.Text {
		o.Text = append(o.Text, l.Whole())
	}
	for _, c := range r.Charts {
		info, err := json.Marshal(c.Info)
		if err != nil {
			return nil, err
		}
		o.Charts = append(o.Charts, chartObject{c.ID, c.Title, c.Picture, c.Video, info})
	}
	for _, l := range r.Levels {
		o.Levels = append(o.Levels, levelObject{milliStamp(l.At), math.Round(l.SNR*10) / 10})
	}
	return json.Marshal(o)
}

// MarshalJSON gives what find shows of an occurrence.
func (e Expected) MarshalJSON() ([]byte, error) {
	return json.Marshal(struct {
		Key          string  `json:"key"`
		Entry        string  `json:"programme_entry"`
		Title        string  `json:"title,omitempty"`
		At           string  `json:"due_utc"`
		Outcome      Outcome `json:"outcome"`
		Receiver     string  `json:"receiver,omitempty"`
		Mode         string  `json:"mode,omitempty"`
		Hz           float64 `json:"hz,omitempty"`
		Transmission ID      `json:"transmission,omitempty"`
		Quality      float64 `json:"quality,omitempty"`
		Why          string  `json:"why,omitempty"`
	}{e.Key, e.Entry, e.Title, milliStamp(e.At), e.Outcome, e.Receiver, e.Mode, e.Hz, e.Transmission, thousandths(e.Quality), e.Why})
}

// MarshalJSON gives what find shows of an incident.
func (i Incident) MarshalJSON() ([]byte, error) {
	return json.Marshal(struct {
		At           string  `json:"utc"`
		What         What    `json:"what"`
		Receiver     string  `json:"receiver,omitempty"`
		Transmission ID      `json:"transmission,omitempty"`
		Seconds      float64 `json:"seconds,omitempty"`
		Text         string  `json:"text,omitempty"`
	}{milliStamp(i.At), i.What, i.Receiver, i.Transmission, thousandths(i.Seconds), i.Text})
}

// MarshalJSON gives what find shows of a deletion.
func (d Deletion) MarshalJSON() ([]byte, error) {
	return json.Marshal(struct {
		At           string `json:"utc"`
		Kind         Kind   `json:"kind"`
		Path         string `json:"path,omitempty"`
		Transmission ID     `json:"transmission,omitempty"`
		Title        string `json:"title,omitempty"`
		Begin        string `json:"begin_utc,omitempty"`
		Bytes        int64  `json:"bytes"`
		Reason       string `json:"reason"`
	}{milliStamp(d.At), d.Kind, d.Path, d.Transmission, d.Title, milliStamp(d.Begun), d.Bytes, d.Reason})
}
