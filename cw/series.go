package cw

// series keeps the sums of a signal's baseband samples, so that the sum over any stretch of time is one difference:
// at(t) is Σ z[i] for i < t. Between samples it is interpolated.
type series struct {
	sum []complex128 // a ring
	end int64        // time of the last sum
}

// seriesLength is 16 s at baseRate: a signal whose speed is found within that is copied from its beginning.
const seriesLength = 1 << 13

func (s *series) reset() {
	if s.sum == nil {
		s.sum = make([]complex128, seriesLength)
	}
	s.end, s.sum[0] = 0, 0
}

func (s *series) add(z complex64) {
	last := s.sum[s.end&(seriesLength-1)]
	s.end++
	s.sum[s.end&(seriesLength-1)] = last + complex128(z)
}

// first is the earliest time that at knows.
func (s *series) first() float64 { return float64(max(0, s.end-seriesLength+2)) }

func (s *series) at(t float64) complex128 {
	i := int64(t)
	f := t - float64(i)
	a, b := s.sum[i&(seriesLength-1)], s.sum[(i+1)&(seriesLength-1)]
	if i >= s.end {
		return a
	}
	return a + complex(f*real(b-a), f*imag(b-a))
}
