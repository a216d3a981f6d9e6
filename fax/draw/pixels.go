package draw

import (
	"errors"
	"math"
	"slices"
	"sync"

	"ionoscribe/demod"
)

// tuning says which frequencies mean black and white.
type tuning struct {
	offset    float64 // of the middle between black and white from CentreHz, Hz
	deviation float64 // of white from the middle, Hz
	inverted  bool    // the other sideband: white is the lower frequency
}

// lineSource yields the lines of a chart from its video: as complex steps for the trellis and as plain
// brightness. It owns the work space.
type lineSource struct {
	video *Video
	grid  grid
	tune  tuning

	z      []complex64 // a line of video and its margins
	at     int64       // index of z[0]
	signal float32     // power of the line's signal and
	noise  float32     // noise in the video's band (moments)
	steps  *kernel
	gain   float32 // of noise power through steps
	y      []complex64
	sums   []float32

	done <-chan struct{} // closed: nobody wants the lines any more; or nil
}

// errGaveUp is what load panics with when nobody wants the lines any more: it is called from deep within, for each line.
var errGaveUp = errors.New("fax: nobody wants the drawing any more")

// lineMargin is how many video samples around a line are read: lead steps of up to 1.4 samples and half a kernel
// reach no further.
const lineMargin = 24

func newLineSource(v *Video, g grid, t tuning) *lineSource {
	s := &lineSource{video: v, grid: g, tune: t}
	s.z = make([]complex64, int(g.period)+2*lineMargin+2)
	s.steps = newKernel(VideoRate/2, g.step(), 10)
	s.gain = s.steps.noiseGain()
	s.y = make([]complex64, g.steps+2*lead+1)
	s.sums = make([]float32, len(s.y))
	return s
}

// noiseGain is the power of filtered white noise over that of the noise.
func (k *kernel) noiseGain() float32 {
	sum := float32(0)
	for _, c := range k.table {
		sum += c * c
	}
	return sum / (kernelPhases + 1)
}

// noiseAt is the covariance of filtered white noise with itself some samples later, over the noise's power.
func (k *kernel) noiseAt(lag float64) (sum float64) {
	fine := make([]float64, kernelPhases*k.taps) // the kernel, kernelPhases to a sample
	for i := range k.taps {
		for p := range kernelPhases {
			fine[(i+1)*kernelPhases-1-p] = float64(k.table[p*k.taps+i])
		}
	}
	for i, at := 0, int(math.Round(lag*kernelPhases)); at < len(fine); i, at = i+1, at+1 {
		sum += fine[i] * fine[at]
	}
	return sum / kernelPhases
}

// noiseLag is the covariance of filtered white noise with itself a sample later, over the noise's power.
func (k *kernel) noiseLag() (sum float32) {
	for p := range kernelPhases {
		row := k.table[p*k.taps:][:k.taps]
		for i, c := range row[1:] {
			sum += c * row[i]
		}
	}
	return sum / kernelPhases
}

// load reads a line and measures its signal and noise.
func (s *lineSource) load(line int) {
	select {
	case <-s.done:
		panic(errGaveUp)
	default:
	}
	s.at = int64(math.Floor(s.grid.start(line))) - lineMargin
	s.video.Read(s.z, s.at)
	s.signal, s.noise = momentPowers(s.z[lineMargin : len(s.z)-lineMargin])
}

// advance is by how much white turns the phase forward in a step, in radians.
func (s *lineSource) advance() float64 {
	return 2 * math.Pi * s.tune.deviation * s.grid.step() / VideoRate
}

// momentPowers splits the power of z into that of the signal, whose envelope is constant, and of the noise.
func momentPowers(z []complex64) (signal, noise float32) {
	var m2, m4 float32
	for _, c := range z {
		p := real(c)*real(c) + imag(c)*imag(c)
		m2 += p
		m4 += p * p
	}
	a, b := demod.MomentSNR(len(z), float64(m2), float64(m4))
	return float32(a), float32(b)
}

// noiseBandHz is the noise bandwidth of the video: pass band and half of each transition.
const noiseBandHz = PassHz + StopHz

// snrDB is the SNR of a line in dB, within what the moments can tell.
func snrDB(signal, noise float32) float64 {
	const lowest, highest = -10, 20
	return min(max(ratioDB(float64(signal), float64(noise)), lowest), highest)
}

// ratioDB is the SNR in dB, noise taken in 2500 Hz, up to 60, for the powers in the video.
func ratioDB(signal, noise float64) float64 {
	const least = 1e-6
	return 10 * math.Log10(max(signal, least*noise)/(max(noise, least*signal)*2500/noiseBandHz+1e-30))
}

// fill sets y to n complex steps, the middle of the first one being offset steps after the line's start,
// turned to the middle of black and white, white going forward.
func (s *lineSource) fill(y []complex64, k *kernel, line int, offset float64) {
	step := s.grid.step()
	at := s.grid.start(line) - float64(s.at) + offset*step
	k.apply(y, s.z, at, step)
	w := 2 * math.Pi * s.tune.offset / VideoRate
	turn(y, math.Mod(w*at, 2*math.Pi), w*step)
	if s.tune.inverted {
		for i, c := range y {
			y[i] = complex(real(c), -imag(c))
		}
	}
}

// observe prepares the trellis for a loaded line: the average of the video over each step is the matched
// filter for a level that is constant over it. lead steps before and behind the line are taken in too.
func (s *lineSource) observe(t *trellis, line, lead int) {
	y := s.y[:s.grid.steps+2*lead]
	s.fill(y, s.steps, line, 0.5-float64(lead))
	noise := max(s.noise*s.gain, 1e-4*s.signal)
	// The amplitude follows fades: power over the steps around, less the noise.
	const around = 48
	sum := float32(0)
	for i, c := range y {
		s.sums[i] = sum
		sum += real(c)*real(c) + imag(c)*imag(c)
	}
	s.sums[len(y)] = sum
	ratio := 2 / (noise + 1e-30)
	for i, c := range y {
		a, b := max(0, i-around), min(len(y), i+around)
		power := (s.sums[b] - s.sums[a]) / float32(b-a)
		amplitude := demod.Sqrt32(max(power-noise, 0.05*power))
		// A static crash says no more than the strongest likely sum of signal and noise.
		size := min(demod.Sqrt32(real(c)*real(c)+imag(c)*imag(c)), amplitude+2*demod.Sqrt32(noise))
		t.observe(i, demod.Phase(c), ratio*amplitude*size)
	}
}

// plainCutoffs are the half bandwidths in Hz before the discriminator, from the lowest SNR to the highest;
// plainSteps are the SNRs in dB from which the next one serves. plainReach is the reach of the smoothing
// behind it, in steps.
var (
	plainCutoffs = [...]float64{650, 800, 1000, 1250, 1500}
	plainSNRs    = [len(plainCutoffs) - 1]float64{1, 4, 11, 19}
	plainSmooth  = [len(plainCutoffs)][plainReach + 1]float32{{1, 0.8, 0.3}, {1, 0.6, 0.1}, {1, 0.35, 0}, {1, 0.1, 0}, {1, 0, 0}}
)

const plainReach = 2

// plainKernels are the filters of plainCutoffs, shared by all.
var plainKernels = sync.OnceValue(func() (k [len(plainCutoffs)]*kernel) {
	for i, c := range plainCutoffs {
		k[i] = newKernel(c, 0, 16)
	}
	return k
})

// class is the bandwidth for a loaded line's SNR, as an index into plainCutoffs.
func (s *lineSource) class() (class int) {
	for snr := snrDB(s.signal, s.noise); class < len(plainSNRs) && snr >= plainSNRs[class]; {
		class++
	}
	return class
}

// noiseFloor is the noise-to-signal ratio of the lines' video by the least of their mean spectrum, which is
// right where the moments are not: they take the ripple that the filter leaves on the envelope for noise.
func (s *lineSource) noiseFloor(lines int) float32 {
	from, to := int64(s.grid.start(0)), int64(s.grid.start(lines))
	power := meanSpectrum(s.video, from, to, 96)
	var inside []float64
	var total float64
	for i, p := range power {
		total += p
		if hz := math.Abs(circular(float64(i), spectrumLength)) * VideoRate / spectrumLength; hz < PassHz {
			inside = append(inside, p)
		}
	}
	slices.Sort(inside)
	noise := inside[len(inside)/20] * spectrumLength * noiseBandHz / VideoRate
	return float32(noise / max(total-noise, 0.01*total+1e-30))
}

// plainNoise bounds the variance of the plain estimate's noise in a loaded line, black to white being 1, when the
// noise-to-signal ratio is at least floor: twice that of the phase difference over a step above the threshold of
// frequency modulation. Below it the line is noisy and there is no bound.
func (s *lineSource) plainNoise(floor float32) (most float32, noisy bool) {
	const threshold = 0.25 // 6 dB in the video's band; the moments are right from here on
	ratio := s.noise / (s.signal + 1e-30)
	if ratio > threshold {
		return math.MaxFloat32, true
	}
	ratio = min(ratio, floor)
	k := plainKernels()[s.class()]
	phase := ratio * (k.noiseGain() - k.noiseLag()) // radians², of the difference
	scale := float32(1 / (2 * s.advance()))
	return 2 * phase * scale * scale, false
}

// brightness sets dst to the plain estimate of a loaded line's steps, 0 for black and 1 for white: the
// phase advance over each step, from the amplitude-weighted sum of the products z(t+step)·conj(z(t)) of the
// step and its neighbours. Bandwidth and smoothing follow the SNR.
func (s *lineSource) brightness(dst []float32, line int) {
	class := s.class()
	y := s.y[:s.grid.steps+2*plainReach+1]
	s.fill(y, plainKernels()[class], line, -plainReach)
	last := y[0]
	for i, c := range y[1:] { // y[i] becomes the product of step i-plainReach
		y[i] = c * complex(real(last), -imag(last))
		last = c
	}
	h := plainSmooth[class]
	scale := float32(VideoRate / (2 * math.Pi * s.grid.step() * 2 * s.tune.deviation))
	for i := range dst {
		d := y[i : i+2*plainReach+1]
		sum := d[2]
		if class < len(plainCutoffs)-1 {
			sum += complex(h[1], 0)*(d[1]+d[3]) + complex(h[2], 0)*(d[0]+d[4])
		}
		dst[i] = demod.Phase(sum)*scale + 0.5
	}
}

// edges sets dst to the brightness of a loaded line's steps and lead steps around, by the phase from each step to the
// next. Its filter is the widest: it rounds edges the least.
func (s *lineSource) edges(dst []float32, line int) {
	y := s.y[:len(dst)+1]
	s.fill(y, plainKernels()[len(plainCutoffs)-1], line, -lead)
	scale := float32(1 / (2 * s.advance()))
	for i := range dst {
		a, c := y[i], y[i+1]
		dst[i] = demod.Phase(c*complex(real(a), -imag(a)))*scale + 0.5
	}
}

// edgeNoise is the covariance of the noise of edges with itself some steps later, at a noise-to-signal ratio: a phase
// has half of the ratio as its variance, in radians².
func (s *lineSource) edgeNoise(ratio float32) (lags [whitening + 1]float64) {
	k := plainKernels()[len(plainCutoffs)-1]
	step, scale := s.grid.step(), 1/(2*s.advance())
	for i := range lags {
		n := float64(i)
		lags[i] = float64(ratio) / 2 * scale * scale *
			(2*k.noiseAt(n*step) - k.noiseAt(math.Abs(n-1)*step) - k.noiseAt((n+1)*step))
	}
	return lags
}

func (d *Drawing) source(v *Video) *lineSource {
	return newLineSource(v, newGrid(d.Origin, d.Period, d.Columns), d.tuning())
}
