package psk

// Settings are those with which a transmission is sent: so far all that are received are alike.
type Settings struct{}

func (Settings) String() string { return "31.25 Bd, two phases" }

// Short is a label.
func (Settings) Short() string { return "two phases" }
