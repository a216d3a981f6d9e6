package survey

// keptSeconds of samples and frames are kept: the beginning of what is found, and as much as a judge wants.
const keptSeconds = 40

// ring keeps the last samples, real ones or complex ones.
type ring struct {
	real []float32
	iq   []complex64
	size int64
	end  int64 // samples written
	from int64 // the oldest that counts
	cut  int64 // what from is when more is written: what was flushed can be read until then
}

func newRing(rate float64, iq bool) *ring {
	r := &ring{size: int64(keptSeconds * rate)}
	if iq {
		r.iq = make([]complex64, r.size)
	} else {
		r.real = make([]float32, r.size)
	}
	return r
}

// first is the index of the oldest sample that is kept.
func (r *ring) first() int64 { return max(r.from, r.end-r.size) }

// copySamples copies samples from an index on that are kept, and says how many there were.
func copySamples[T any](dst, kept []T, r *ring, from int64) int {
	if from < r.first() || from > r.end {
		return 0
	}
	n := int(min(int64(len(dst)), r.end-from))
	for i := range dst[:n] {
		dst[i] = kept[(from+int64(i))%r.size]
	}
	return n
}

func (r *ring) add(x []float32) {
	r.from = r.cut
	for len(x) > 0 {
		n := copy(r.real[r.end%r.size:], x)
		for i, v := range r.real[r.end%r.size:][:n] {
			if !sound(v) {
				r.real[r.end%r.size+int64(i)] = 0
			}
		}
		r.end += int64(n)
		x = x[n:]
	}
}

func (r *ring) addIQ(x []complex64) {
	r.from = r.cut
	for len(x) > 0 {
		n := copy(r.iq[r.end%r.size:], x)
		for i, v := range r.iq[r.end%r.size:][:n] {
			if !sound(real(v)) || !sound(imag(v)) {
				r.iq[r.end%r.size+int64(i)] = 0
			}
		}
		r.end += int64(n)
		x = x[n:]
	}
}

// sound says that a sample is a number of which sums stay finite.
func sound(v float32) bool { return v > -1<<32 && v < 1<<32 }
