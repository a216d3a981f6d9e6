package alerts

// Rule says what the operator wants to be told, and how. It has one of the conditions.
type Rule struct {
	Name string `toml:"name" json:"name"`

	// Conditions.
	Text      []string `toml:"text,omitempty" json:"text,omitempty"`           // patterns of words, any of which comes in a text
	Calls     []string `toml:"calls,omitempty" json:"calls,omitempty"`         // patterns of call signs, any of which comes in a text
	Countries []string `toml:"countries,omitempty" json:"countries,omitempty"` // whose call signs come in a text
	Programme []What   `toml:"programme,omitempty" json:"programme,omitempty"` // of came, missed, poor
	Signal    *Range   `toml:"signal,omitempty" json:"signal,omitempty"`       // in which a new signal is
	Receiver  []What   `toml:"receiver,omitempty" json:"receiver,omitempty"`   // of silent, overloaded, disconnected, clock
	Station   []What   `toml:"station,omitempty" json:"station,omitempty"`     // of disk_full, not_kept, tune_failed

	// What the condition is limited to; empty: all.
	Receivers []string `toml:"receivers,omitempty" json:"receivers,omitempty"` // names
	Modes     []string `toml:"modes,omitempty" json:"modes,omitempty"`         // names
	Entries   []string `toml:"entries,omitempty" json:"entries,omitempty"`     // IDs of programme entries

	Ways          []string `toml:"ways" json:"ways"` // names of ways out
	Quiet         []Hours  `toml:"quiet,omitempty" json:"quiet,omitempty"`
	LeastInterval Duration `toml:"least_interval,omitempty" json:"least_interval,omitempty"` // between two alerts of this rule
}

// Range is one of frequencies on the air, both ends within.
type Range struct {
	FromHz float64 `toml:"from_hz" json:"from_hz"`
	ToHz   float64 `toml:"to_hz" json:"to_hz"`
}
