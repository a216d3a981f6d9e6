package stationfile

// ReceiverTable is what the table of a receiver says, as it is written there; what is empty is not said. The command that tunes a
// receiver is not among it: it can be changed in the file only.
type ReceiverTable struct {
	Name     string   `toml:"name" json:"name"`
	Source   string   `toml:"source,omitempty" json:"source"`
	Dial     string   `toml:"dial,omitempty" json:"dial"`         // with its unit
	Sideband string   `toml:"sideband,omitempty" json:"sideband"` // upper or lower
	IQ       string   `toml:"iq,omitempty" json:"iq"`
	Channel  string   `toml:"channel,omitempty" json:"channel"`
	Place    string   `toml:"place,omitempty" json:"place"`
	Copy     []string `toml:"copy,omitempty" json:"copy"`   // names of modes
	Hours    []string `toml:"hours,omitempty" json:"hours"` // such as 18:00-06:30, UTC
	Sound    string   `toml:"sound,omitempty" json:"sound"` // such as 12 h, 2 GB
}

func receiverTable(t *table) ReceiverTable {
	return ReceiverTable{
		Name: t.text("name"), Source: t.text("source"), Dial: t.text("dial"), Sideband: t.text("sideband"), IQ: t.text("iq"),
		Channel: t.text("channel"), Place: t.text("place"), Copy: t.texts("copy"), Hours: t.texts("hours"), Sound: t.text("sound"),
	}
}
