package grade

// filter sets dst[i] = Σ h[k]·x[i+k]; h is symmetric, and len(x) is len(dst)+len(h)-1. Four sums at a time keep the
// adder busy, which waits for its last result otherwise; each of them is added up in the same order as alone.
func filter(dst, x, h []float32) {
	i := 0
	for ; i+4 <= len(dst); i += 4 {
		var s0, s1, s2, s3 float32
		w := x[i:][:len(h)+3]
		w0, w1, w2 := w[0], w[1], w[2]
		w = w[3:][:len(h)]
		for k, c := range h {
			w3 := w[k]
			s0 += c * w0
			s1 += c * w1
			s2 += c * w2
			s3 += c * w3
			w0, w1, w2 = w1, w2, w3
		}
		dst[i], dst[i+1], dst[i+2], dst[i+3] = s0, s1, s2, s3
	}
	for ; i < len(dst); i++ {
		w := x[i:][:len(h)]
		sum := float32(0)
		for k, c := range h {
			sum += c * w[k]
		}
		dst[i] = sum
	}
}
