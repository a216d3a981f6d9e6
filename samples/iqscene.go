package samples

import (
	"errors"
	"fmt"
	"io"
	"math"
	"math/rand/v2"

	"ionoscribe/demod"
)

// IQSignal is receiver audio put back to where a receiver in the upper sideband took it from.
type IQSignal struct {
	Source       demod.SampleReader // audio, at a rate of 6 kHz up to that of the scene
	DialHz       float64            // audio of f Hz lies at DialHz+f from the centre; what that puts outside the band is folded into it
	StartSeconds float64            // when it begins
	Gain         float64            // of amplitudes; 0: 1. A cosine of amplitude A becomes an exponential of amplitude Gain·A
}

// IQSceneConfig describes an IQScene. SampleRate is required.
type IQSceneConfig struct {
	SampleRate   float64 // Hz of complex samples, 8000 to 384000
	Signals      []IQSignal
	NoiseDensity float64   // of |z|², a Hz: all noise has this times SampleRate, evenly over the band
	Offset       complex64 // added to all: the spur at 0 Hz of a receiver
	Seconds      float64   // length; 0: until the last signal has ended
	Seed         uint64    // of the noise
}

// IQScene is many signals at once, as complex samples around a centre frequency; it is a demod.IQReader.
//
//	audio → analytic signal → mix its middle to 0 Hz → resample to the scene's rate → mix to its place ─┐
//	                                                                             noise, offset ─────────┴→ sum
//
// An analytic signal has its errors, -60 dB, below 150 Hz and as far below half the rate of its audio; the images of
// resampling are as weak.
type IQScene struct {
	rate   float64
	placed []*iqPlaced
	sigma  float64 // of each part of the noise
	rng    *rand.Rand
	offset complex64
	n      int64 // next sample
	total  int64 // samples; -1: until the last signal has ended
	err    error
}

// iqPlaced is a signal on its way into a scene.
type iqPlaced struct {
	source   *analytic
	gain     float32
	start    int64 // sample of the scene
	down     demod.Oscillator
	resample *demod.IQResampler
	up       demod.Oscillator
	re, im   []float32
	block    []complex64
	ready    []complex64 // resampled, from at on not yet used
	at       int
	err      error // that ended the source
}

const iqSceneDB = 66 // of each resampler's stopband: analytic signals have errors of -60 dB anyway

// NewIQScene checks the configuration.
func NewIQScene(c IQSceneConfig) (*IQScene, error) {
	switch {
	case !(c.SampleRate >= 8000 && c.SampleRate <= 384000):
		return nil, fmt.Errorf("scene: sample rate of %v Hz is not within 8 and 384 kHz", c.SampleRate)
	case !(c.NoiseDensity >= 0) || math.IsInf(c.NoiseDensity, 0):
		return nil, fmt.Errorf("scene: noise of density %v", c.NoiseDensity)
	case !(c.Seconds >= 0 && c.Seconds <= 1e7):
		return nil, fmt.Errorf("scene: a length of %v s", c.Seconds)
	}
	s := &IQScene{
		rate: c.SampleRate, sigma: math.Sqrt(c.NoiseDensity * c.SampleRate / 2), rng: rand.New(rand.NewPCG(c.Seed, 0x7363656e65)),
		offset: c.Offset, total: -1,
	}
	if c.Seconds > 0 {
		s.total = count(s.rate, c.Seconds)
	}
	for i, g := range c.Signals {
		p, err := newIQPlaced(g, s.rate)
		if err != nil {
			return nil, fmt.Errorf("scene: signal %d: %w", i+1, err)
		}
		s.placed = append(s.placed, p)
	}
	return s, nil
}

func newIQPlaced(g IQSignal, rate float64) (*iqPlaced, error) {
	if g.Source == nil {
		return nil, errors.New("there is none")
	}
	setDefault(&g.Gain, 1)
	switch audio := g.Source.SampleRate(); {
	case !(audio >= 6000 && audio <= rate):
		return nil, fmt.Errorf("its sample rate of %v Hz is not within 6 kHz and that of the scene, %v Hz", audio, rate)
	case !(g.DialHz >= -rate/2-audio/2 && g.DialHz <= rate/2):
		return nil, fmt.Errorf("its dial frequency of %v Hz is not in the band", g.DialHz)
	case !(g.StartSeconds >= 0 && g.StartSeconds <= 1e7):
		return nil, fmt.Errorf("it begins at %v s", g.StartSeconds)
	case !(math.Abs(g.Gain) <= 1e15):
		return nil, fmt.Errorf("a gain of %v", g.Gain)
	}
	audio := g.Source.SampleRate()
	middle := audio / 4
	pass := middle - analyticEdgeHz/2
	return &iqPlaced{
		source: newAnalytic(g.Source), gain: float32(g.Gain), start: count(rate, g.StartSeconds),
		down:     demod.NewOscillator(audio, -middle),
		resample: demod.NewIQResampler(audio, rate, pass, audio-pass, iqSceneDB),
		up:       demod.NewOscillator(rate, g.DialHz+middle),
		re:       make([]float32, analyticBlock), im: make([]float32, analyticBlock), block: make([]complex64, analyticBlock),
	}, nil
}

// SampleRate is that of complex samples in Hz.
func (s *IQScene) SampleRate() float64 { return s.rate }

// IQGain is the gain that gives a signal of the given mean power, as audio, snrDB over noise of a density as in
// IQSceneConfig, in NoiseBandwidthHz: after a receiver, and in the scene too.
func IQGain(power, snrDB, density float64) float64 {
	// |z|² of an analytic signal is twice the power of the real one.
	return math.Sqrt(math.Pow(10, snrDB/10) * density * NoiseBandwidthHz / (2 * power))
}

// ReadIQ implements demod.IQReader. A source that fails ends the scene with its error.
func (s *IQScene) ReadIQ(dst []complex64) (int, error) {
	if s.err != nil {
		return 0, s.err
	}
	if s.total >= 0 {
		dst = dst[:min(int64(len(dst)), s.total-s.n)]
	}
	length := 0 // up to the end of the last signal
	if s.total >= 0 {
		length = len(dst)
	}
	clear(dst)
	for _, p := range s.placed {
		n, err := p.add(dst, s.n)
		length = max(length, n)
		if err != nil {
			s.err = err
			return 0, err
		}
	}
	dst = dst[:length]
	for i := range dst {
		if s.sigma > 0 {
			dst[i] += complex(float32(s.sigma*s.rng.NormFloat64()), float32(s.sigma*s.rng.NormFloat64()))
		}
		dst[i] += s.offset
	}
	s.n += int64(length)
	if length == 0 {
		s.err = io.EOF
	}
	return length, s.err
}

// add adds the signal to dst, whose first sample is number n of the scene. It returns how far the signal, if it has not
// ended, fills dst.
func (p *iqPlaced) add(dst []complex64, n int64) (length int, err error) {
	if p.err != nil && p.at == len(p.ready) {
		return 0, nil
	}
	i := int(min(max(p.start-n, 0), int64(len(dst))))
	for i < len(dst) {
		if p.at == len(p.ready) {
			if p.err != nil {
				break
			}
			if p.fill(); p.err != nil && !errors.Is(p.err, io.EOF) {
				return 0, p.err
			}
			continue
		}
		k := min(len(dst)-i, len(p.ready)-p.at)
		for j, z := range p.ready[p.at:][:k] {
			w := p.up.Next()
			dst[i+j] += complex(
				p.gain*(real(z)*real(w)-imag(z)*imag(w)),
				p.gain*(real(z)*imag(w)+imag(z)*real(w)))
		}
		p.at += k
		i += k
	}
	return i, nil
}

// fill resamples some more; silence follows the source until all of it has come out.
func (p *iqPlaced) fill() {
	var n int
	n, p.err = p.source.read(p.re, p.im)
	if p.err != nil {
		n = min(len(p.block), 64) // half the resampler's filter, of some ten taps, and more
		clear(p.re[:n])
		clear(p.im[:n])
	}
	for i := range n {
		w := p.down.Next()
		re, im := p.re[i], p.im[i]
		p.block[i] = complex(re*real(w)-im*imag(w), re*imag(w)+im*real(w))
	}
	p.ready, p.at = p.resample.Append(p.ready[:0], p.block[:n]), 0
}
