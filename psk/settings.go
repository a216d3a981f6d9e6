package psk

// Settings are those with which a transmission is sent.
type Settings struct {
	QPSK     bool // four phases; otherwise two
	Inverted bool // four phases turn the other way, as on the other sideband
}

func (s Settings) String() string { return "31.25 Bd, " + s.Short() }

// Short is a label.
func (s Settings) Short() string {
	switch {
	case s.QPSK && s.Inverted:
		return "four phases, inverted"
	case s.QPSK:
		return "four phases"
	}
	return "two phases"
}

// Reversed are the settings as seen in the other sideband.
func (s Settings) Reversed() Settings { return Settings{s.QPSK, s.QPSK && !s.Inverted} }
