package cw

// tuned is a channel that is tuned to a signal since a sample of the band.
type tuned struct {
	channel channel
	origin  int64   // sample of the band
	began   float64 // pitch at origin
}

// tune tunes to a pitch from a sample of the band on.
func (t *tuned) tune(hz float64, origin int64) {
	t.channel.reset(hz)
	t.origin, t.began = origin, hz
}

// bandTime converts a time in base samples to samples of the band.
func (t *tuned) bandTime(base float64) float64 { return float64(t.origin) + base*decimation }
