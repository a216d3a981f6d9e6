package stationfile

import (
	"github.com/pelletier/go-toml/v2"

	"ionoscribe/internal/alerts"
)

// ReceiverTable is a [[receiver]] table as it is written.
type ReceiverTable struct {
	Name     string     `toml:"name" json:"name"`
	Source   string     `toml:"source" json:"source"`
	Dial     string     `toml:"dial,omitempty" json:"dial,omitempty"`
	Sideband string     `toml:"sideband,omitempty" json:"sideband,omitempty"`
	IQ       string     `toml:"iq,omitempty" json:"iq,omitempty"`
	Channel  string     `toml:"channel,omitempty" json:"channel,omitempty"`
	Place    string     `toml:"place,omitempty" json:"place,omitempty"`
	Copy     []string   `toml:"copy,omitempty" json:"copy,omitempty"`
	Hours    []string   `toml:"hours,omitempty" json:"hours,omitempty"`
	Sound    string     `toml:"sound,omitempty" json:"sound,omitempty"`
	Tune     *TuneTable `toml:"tune,omitempty" json:"tune,omitempty"`
}

// TuneTable is a receiver's command that tunes it, as it is written.
type TuneTable struct {
	Command []string `toml:"command" json:"command"`
	Timeout string   `toml:"timeout,omitempty" json:"timeout,omitempty"`
}

// Tables are the receivers and the rules that a text has, as they are written and whether they are right or not; none if it is not
// TOML.
func Tables(text []byte) (receivers []ReceiverTable, rules []alerts.Rule) {
	d, err := parse("", text)
	if err != nil {
		return nil, nil
	}
	root := d.table("", d.root)
	for _, t := range root.tables("receiver") {
		receivers = append(receivers, t.receiverTable())
	}
	for _, t := range root.tables("alert") {
		rules = append(rules, t.rule())
	}
	return receivers, rules
}

func (t *table) receiverTable() ReceiverTable {
	r := ReceiverTable{
		Name: t.text("name"), Source: t.text("source"), Dial: t.text("dial"), Sideband: t.text("sideband"), IQ: t.text("iq"), Channel: t.text("channel"),
		Place: t.text("place"), Copy: t.texts("copy"), Hours: t.texts("hours"), Sound: t.text("sound"),
	}
	if s := t.table("tune"); s != nil {
		r.Tune = &TuneTable{Command: s.texts("command"), Timeout: s.text("timeout")}
	}
	return r
}

func (t *table) rule() (r alerts.Rule) {
	t.decode(&r)
	return r
}

// itemsOf are the keys and values of a table that has the form of v.
func itemsOf(v any) map[string]any {
	items := map[string]any{}
	text, err := toml.Marshal(v)
	if err == nil {
		err = toml.Unmarshal(text, &items)
	}
	if err != nil {
		panic(err) // texts, numbers and lists of them can be written and read
	}
	return items
}
