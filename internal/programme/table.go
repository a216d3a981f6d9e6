package programme

import (
	"bytes"
	"encoding/json"
	"strings"
	"text/tabwriter"
	"time"

	"ionoscribe/internal/quantity"
)

// Table has a line for each occurrence: when, how long, where, what. All are of a day, which it does not say.
func Table(all []Occurrence) []string {
	if len(all) == 0 {
		return nil
	}
	var b bytes.Buffer
	w := tabwriter.NewWriter(&b, 0, 0, 2, ' ', 0)
	row := func(cells ...string) { w.Write([]byte(strings.Join(cells, "\t") + "\n")) }
	row("UTC", "length", "frequency", "mode", "receivers", "title")
	for _, o := range all {
		e := o.Entry
		row(o.At.Format("15:04"), durationText(e.Length), hzText(e.FrequencyHz, quantity.KHz), e.Mode, strings.Join(e.Receivers, " "), orElse(e.Title, e.ID))
	}
	w.Flush() // into memory, which does not fail
	lines := strings.Split(strings.TrimSuffix(b.String(), "\n"), "\n")
	for i := range lines {
		lines[i] = strings.TrimRight(lines[i], " ")
	}
	return lines
}

// JSON is an occurrence as an object in a line.
func (o Occurrence) JSON() string {
	e := o.Entry
	b, err := json.Marshal(struct {
		At        time.Time `json:"at"`
		Opens     time.Time `json:"opens"`
		Closes    time.Time `json:"closes"`
		Ends      time.Time `json:"ends"`
		ID        string    `json:"id"`
		Title     string    `json:"title"`
		Hz        float64   `json:"frequency_hz,omitempty"`
		Mode      string    `json:"mode,omitempty"`
		Receivers []string  `json:"receivers,omitempty"`
	}{o.At, o.Opens, o.Closes, o.Ends(), e.ID, e.Title, e.FrequencyHz, e.Mode, e.Receivers})
	if err != nil {
		panic(err) // texts, numbers and times of this calendar can always be written
	}
	return string(b)
}
