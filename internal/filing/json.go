package filing

import (
	"io"
	"math"

	"ionoscribe/copydesk"
	"ionoscribe/internal/chartfile"
	"ionoscribe/internal/object"
)

// JSON tells programs of reports, an object a line.
type JSON struct {
	Out io.Writer
	Err error // of the first write that failed, after which there is none any more

	number int64
}

// reportObject is the object of a report. What is not known, or does not belong to the event, is left out.
type reportObject struct {
	Event        copydesk.What `json:"event"`
	Number       int64         `json:"number"`           // from 1, of the objects
	Source       string        `json:"source,omitempty"` // as the finding has it, if there is one
	UTC          string        `json:"utc,omitempty"`
	Transmission int           `json:"transmission,omitempty"`
	Text         string        `json:"text,omitempty"` // a line
	LineBegun    string        `json:"line_begun_utc,omitempty"`
	Row          *int          `json:"row,omitempty"` // of a chart that is coming in
	Characters   int           `json:"characters,omitempty"`
	File         string        `json:"file,omitempty"`
	Lost         float64       `json:"lost_seconds,omitempty"`
	GoesOn       bool          `json:"goes_on,omitempty"` // of a gap
	Trouble      string        `json:"trouble,omitempty"`
	Chart        *chartOf      `json:"chart,omitempty"`
}

type chartOf struct {
	Picture     string  `json:"picture"`
	Video       string  `json:"video,omitempty"`
	MeanQuality float64 `json:"mean_quality"`
	chartfile.Info
}

// Tell takes a report. What decoders tell of their own state is left out: it changes many times a minute.
func (j *JSON) Tell(r Report) {
	if r.What == copydesk.Changed && r.Heard != nil {
		return
	}
	j.number++
	o := reportObject{Event: r.What, Number: j.number, Source: r.Event.Source, Transmission: r.Transmission, Text: r.Text, LineBegun: r.LineBegun,
		Characters: r.Length, File: r.File}
	if !r.UTC.IsZero() {
		o.UTC = r.UTC.UTC().Format("2006-01-02T15:04:05.0Z")
	}
	var found any
	if r.Transmission != 0 && r.What != copydesk.Line {
		found = r.Source.Finding(r.Finding)
		o.Source = ""
	}
	switch {
	case r.What == copydesk.Line:
		o.Row = &r.Row
	case r.What == copydesk.Gap:
		o.Lost, o.GoesOn = float64(r.Lost)/r.Source.Rate, !r.Over
	case r.Err != nil:
		o.Trouble = r.Err.Error()
	case r.Saved != nil:
		o.Chart = &chartOf{r.Picture, r.Video, math.Round(r.Saved.Quality.Mean()*1000) / 1000, r.Saved.Info}
	}
	b, err := object.Join(o, found)
	if err == nil && j.Err == nil {
		_, err = j.Out.Write(append(b, '\n'))
	}
	if j.Err == nil {
		j.Err = err
	}
}
