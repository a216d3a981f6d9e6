package survey

import (
	"math"
	"slices"

	"ionoscribe/demod"
)

const (
	leastBinHz = 4.2 // of a frame, whose length is a power of two: up to twice as much
	// crashRise is by how much the quiet bins of a frame must surpass their median of late for it to be a crash of
	// static; their quantile, of hundreds of bins, has a spread of some hundredths.
	crashRise   = 2.5
	crashFrames = 35 // 3 s
	quietShare  = 0.35
	mostLooked  = 1024 // bins that are looked at for crashes
)

// frames turns samples into power densities by time and frequency: Hann windows that overlap by half.
type frames struct {
	rate   float64
	length int
	hop    int64
	hopS   float64 // seconds
	binHz  float64
	lowBin int // of bin 0, from 0 Hz
	bins   int
	window []float32
	gain   float32

	real *demod.RealFFT // of audio
	iq   *demod.FFT     // of complex samples
	z    []complex64

	power []float32 // ring of kept frames, weighed
	raw   []float32 // the latest frame, not weighed
	kept  int64
	count int64 // frames so far
	base  int64 // sample at which frame 0 begins

	quiet  [crashFrames]float32
	sorted []float32
}

func newFrames(c Config) *frames {
	f := &frames{rate: c.SampleRate, length: 1}
	for c.SampleRate/float64(2*f.length) >= leastBinHz {
		f.length *= 2
	}
	f.hop = int64(f.length / 2)
	f.hopS = float64(f.hop) / c.SampleRate
	f.binHz = c.SampleRate / float64(f.length)
	f.lowBin = int(math.Ceil(c.LowHz / f.binHz))
	f.bins = int(math.Floor(c.HighHz/f.binHz)) - f.lowBin + 1
	f.kept = int64(keptSeconds / f.hopS)
	f.power = make([]float32, f.kept*int64(f.bins))
	f.raw = make([]float32, f.bins)
	f.window = make([]float32, f.length)
	sum := 0.0
	for i := range f.window {
		w := demod.Hann(i, f.length)
		f.window[i] = float32(w)
		sum += w * w
	}
	f.gain = float32(1 / (sum * c.SampleRate))
	if c.IQ {
		f.iq, f.z = demod.NewFFT(f.length), make([]complex64, f.length)
	} else {
		f.real, f.z = demod.NewRealFFT(f.length), make([]complex64, f.length/2)
	}
	f.sorted = make([]float32, 0, mostLooked)
	return f
}

func (f *frames) reset(base int64) { f.base, f.count = base, 0 }

// hz is the frequency of a bin; bins may be between.
func (f *frames) hz(bin float64) float64 { return (bin + float64(f.lowBin)) * f.binHz }

// bin is the one nearest to a frequency.
func (f *frames) bin(hz float64) int {
	return min(max(int(math.Round(hz/f.binHz))-f.lowBin, 0), f.bins-1)
}

// sample is the index of the middle of a frame.
func (f *frames) sample(frame int64) int64 { return f.base + frame*f.hop + f.hop }

// end is the sample after the last that is in a frame: the present, which does not depend on how samples come in blocks.
func (f *frames) end() int64 { return f.base + (f.count-1)*f.hop + int64(f.length) }

// seconds is how long some frames take.
func (f *frames) seconds(frames int64) float64 { return float64(frames) * f.hopS }

// first is the oldest that is kept.
func (f *frames) first() int64 { return max(0, f.count-f.kept) }

func (f *frames) of(frame int64) []float32 {
	return f.power[frame%f.kept*int64(f.bins):][:f.bins]
}

// sum is that of a bin's densities in frames from to to.
func (f *frames) sum(bin int, from, to int64) (sum float32) {
	for k := from; k < to; k++ {
		sum += f.of(k)[bin]
	}
	return sum
}

// mean is that of values of all bins between two frequencies.
func (f *frames) mean(x []float32, low, high float64) float64 {
	sum := 0.0
	a, b := f.bin(low), f.bin(high)
	for _, v := range x[a : b+1] {
		sum += float64(v)
	}
	return sum / float64(b-a+1)
}

// missing is how many samples the next frame still waits for. Whoever adds no more at a time has nothing depend on how
// samples are cut into blocks.
func (f *frames) missing(r *ring) int {
	return int(f.base + f.count*f.hop + int64(f.length) - r.end)
}

// take makes the next frame; it says whether there were samples for it.
func (f *frames) take(r *ring) bool {
	at := f.base + f.count*f.hop
	if at+int64(f.length) > r.end {
		return false
	}
	i := at % r.size
	next := func() {
		if i++; i == r.size {
			i = 0
		}
	}
	if r.iq != nil {
		for k := range f.z {
			v, w := r.iq[i], f.window[k]
			f.z[k] = complex(w*real(v), w*imag(v))
			next()
		}
		f.iq.Transform(f.z)
	} else {
		for k := range f.z {
			a := f.window[2*k] * r.real[i]
			next()
			f.z[k] = complex(a, f.window[2*k+1]*r.real[i])
			next()
		}
		f.real.Transform(f.z)
	}
	frame := f.of(f.count)
	for k := range f.raw {
		if r.iq == nil {
			f.raw[k] = f.gain * f.real.Power(f.z, k+f.lowBin)
			continue
		}
		v := f.z[(k+f.lowBin+len(f.z))%len(f.z)]
		f.raw[k] = f.gain * (real(v)*real(v) + imag(v)*imag(v))
	}
	scale := f.weigh()
	for k, p := range f.raw {
		frame[k] = scale * p
	}
	f.count++
	return true
}

// weigh is 1, or for a crash of static what brings it down to the usual.
func (f *frames) weigh() float32 {
	step := (f.bins + mostLooked - 1) / mostLooked
	s := f.sorted[:0]
	for i := 0; i < f.bins; i += step {
		s = append(s, f.raw[i])
	}
	quiet := demod.Quantile(s, int(quietShare*float64(len(s))))
	n := min(f.count+1, crashFrames)
	f.quiet[f.count%crashFrames] = quiet
	s = append(s[:0], f.quiet[:n]...)
	slices.Sort(s)
	usual := s[n/2]
	if n >= crashFrames/3 && quiet > crashRise*usual && usual > 0 {
		return usual / quiet
	}
	return 1
}
