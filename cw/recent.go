package cw

const (
	historyLength = 1 << 16 // band samples, 16 s
	historyHops   = historyLength/hop - 4
)

// recent keeps the last 16 s of the band, so that a signal is copied from its beginning after it has been found.
type recent struct {
	samples []complex64 // a ring
	end     int64       // band samples so far
}

// add takes a hop.
func (r *recent) add(z []complex64) {
	copy(r.samples[r.end&(historyLength-1):], z)
	r.end += hop
}

// first is the earliest sample that is kept.
func (r *recent) first() int64 { return r.end - min(r.end/hop, historyHops)*hop }

// replay feeds the samples since one that is kept to a channel.
func (r *recent) replay(c *channel, since int64) {
	for at := since; at < r.end; at += hop {
		i := at & (historyLength - 1)
		c.add(r.samples[i : i+hop])
	}
}

// ago is how many seconds ago a sample of the band was.
func (r *recent) ago(sample int64) float64 { return float64(r.end-sample) / bandRate }
