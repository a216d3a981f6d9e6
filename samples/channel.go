package samples

import (
	"fmt"
	"strings"
)

// Channel is a representative condition of the ionosphere: Recommendation ITU-R F.1487 (05/2000), "Testing of HF
// modems with bandwidths of up to about 12 kHz using ionospheric channel simulators", annex 3. Two paths fade
// independently, with equal mean power.
type Channel struct {
	Name         string
	Title        string  // as the Recommendation calls it
	DelaySeconds float64 // of the second path behind the first
	SpreadHz     float64 // Doppler spread: two standard deviations of the spectrum of a path
}

// Channels are those of the Recommendation, from the table of a mathematics package that quotes it.
var Channels = []Channel{
	{"low-quiet", "low latitudes, quiet", 0.5e-3, 0.5},
	{"low-moderate", "low latitudes, moderate", 2e-3, 1.5},
	{"low-disturbed", "low latitudes, disturbed", 6e-3, 10},
	{"mid-quiet", "mid-latitudes, quiet", 0.5e-3, 0.1},
	{"mid-moderate", "mid-latitudes, moderate", 1e-3, 0.5},
	{"mid-disturbed", "mid-latitudes, disturbed", 2e-3, 1},
	{"mid-near-vertical", "mid-latitudes, disturbed, near vertical incidence", 7e-3, 1},
	{"high-quiet", "high latitudes, quiet", 1e-3, 0.5},
	{"high-moderate", "high latitudes, moderate", 3e-3, 10},
	{"high-disturbed", "high latitudes, disturbed", 7e-3, 30},
}

// FindChannel returns the channel of a name; the error lists the names.
func FindChannel(name string) (Channel, error) {
	names := make([]string, len(Channels))
	for i, c := range Channels {
		if c.Name == name {
			return c, nil
		}
		names[i] = c.Name
	}
	return Channel{}, fmt.Errorf("there is no channel %q, only %s", name, strings.Join(names, ", "))
}

// Fading is what NewFading makes the channel of.
func (c Channel) Fading(seed uint64) FadingConfig {
	return FadingConfig{DelaySeconds: c.DelaySeconds, SpreadHz: c.SpreadHz, Seed: seed}
}
