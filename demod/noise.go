package demod

import "math"

// noiseQuantile is the quantile of the noise's own powers that NoiseFloor reads: high enough that its spread
// is small (6 % of the value with 1000 independent samples), low enough to be untouched by the signal.
const noiseQuantile = 0.25

// NoiseFloor tracks the mean power of Gaussian noise under a signal that comes and goes, by a low quantile of
// the powers |z|² (quantile-based noise estimation: Stahl, Fischer and Bippus, ICASSP 2000). |z|² of complex
// Gaussian noise of mean power N is exponentially distributed: its quantile q is -N·ln(1-q). A low
// quantile, unlike a minimum, is not upset by a moment of muting, nor by correlation between samples.
//
// Where a signal stands for the share d of the time, well above the noise, the quantile (1-d)·q of all powers
// is the quantile q of the noise's. If it then is absent, the floor reads too low, for d = 1/2 by 3.3 dB. A signal that
// is always there hides the noise: see MomentSNR.
type NoiseFloor struct {
	counts   [1 << 11]float32 // of powers by the upper bits of their float32: eight steps an octave
	total    float64
	limit    float64 // when total reaches it, all counts are halved: old powers fade out
	quantile float64 // of all powers
}

// NewNoiseFloor makes a tracker for powers at rate Hz. What lies further back than about seconds weighs half
// or less. signalShare is the part of the time, from 0 to below 1, during which a signal is expected:
// 0 for an empty channel, 1/2 for either of two keyed tones.
func NewNoiseFloor(rate, seconds, signalShare float64) *NoiseFloor {
	return &NoiseFloor{
		limit:    min(max(2*rate*seconds, 2), 1<<23), // float32 counts singly up to 2^24
		quantile: noiseQuantile * (1 - min(max(signalShare, 0), 0.99)),
	}
}

// Add takes one power, |z|². Zero, as from a muted source, infinity and NaN do not count.
func (f *NoiseFloor) Add(power float32) {
	if !(power > 0 && power <= math.MaxFloat32) {
		return
	}
	f.counts[math.Float32bits(power)>>20]++
	f.total++
	if f.total >= f.limit {
		f.total /= 2
		for i := range f.counts {
			f.counts[i] /= 2
		}
	}
}

// Power is the mean power of the noise; 0 before the first value. It searches a table (about a microsecond):
// call it once a block, not once a sample.
func (f *NoiseFloor) Power() float64 {
	want := f.quantile * f.total
	sum := 0.0
	for i, c := range f.counts {
		if c == 0 || sum+float64(c) < want {
			sum += float64(c)
			continue
		}
		low := float64(math.Float32frombits(uint32(i) << 20))
		high := float64(math.Float32frombits(uint32(i+1) << 20))
		at := low + (high-low)*(want-sum)/float64(c) // powers lie evenly within so small a step
		return at / -math.Log1p(-noiseQuantile)
	}
	return 0
}

// Reset forgets all values.
func (f *NoiseFloor) Reset() {
	clear(f.counts[:])
	f.total = 0
}
