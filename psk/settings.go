package psk

// Settings are those with which a transmission is sent.
type Settings struct {
	QPSK bool // four phases; otherwise two
}

func (s Settings) String() string { return "31.25 Bd, " + s.Short() }

// Short is a label.
func (s Settings) Short() string {
	if s.QPSK {
		return "four phases"
	}
	return "two phases"
}
