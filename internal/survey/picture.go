package survey

// Picture is a spectrogram.
type Picture struct{}

func (p *Picture) add(at int64, power []float32) {}
func (p *Picture) mark(f Finding)                {}
