package demod

// SampleReader is a source of samples in [-1, 1]: a recording, a live receiver or a generated test signal.
//
// ReadSamples fills dst with up to len(dst) samples and returns how many. Like io.Reader it may return
// fewer than asked, and n > 0 together with an error; after the last sample it returns 0, io.EOF.
type SampleReader interface {
	SampleRate() float64 // Hz
	ReadSamples(dst []float32) (n int, err error)
}
