package audio

// ITU-T G.711 stores a sample in 8 bits of a logarithmic scale: a sign, three bits of segment e and four of place m
// in it. What a code stands for is the middle of its interval (tables 1a and 2a there, columns 6 to 8):
//
//	A-law, even bits inverted:  e = 0: 2m+1;  e > 0: (2m+33)·2^(e-1), of 4096
//	mu-law, all bits inverted:  (2m+33)·2^e - 33, of 8192
//
// No library is used for two tables of 256 numbers.
var aLaw, muLaw = g711Tables()

func g711Tables() (a, mu [256]float32) {
	for i := range 256 {
		code := i ^ 0x55
		e, v := code>>4&7, 2*(code&15)+1
		if e > 0 {
			v = (v + 32) << (e - 1)
		}
		a[i] = float32(v) / 4096
		if code&0x80 == 0 { // the sign bit is 1 for positive values
			a[i] = -a[i]
		}
		code = i ^ 0xFF
		mu[i] = float32((2*(code&15)+33)<<(code>>4&7)-33) / 8192
		if i&0x80 == 0 {
			mu[i] = -mu[i]
		}
	}
	return a, mu
}

func decodeALaw(dst []float32, src []byte, stride int) {
	for i := range dst {
		dst[i] = aLaw[src[i*stride]]
	}
}

func decodeMuLaw(dst []float32, src []byte, stride int) {
	for i := range dst {
		dst[i] = muLaw[src[i*stride]]
	}
}
