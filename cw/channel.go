package cw

import (
	"math"

	"ionoscribe/demod"
)

// Rates of the two stages: the whole passband, and one signal.
const (
	bandRate   = 4000.0 // Hz, complex
	decimation = 8
	baseRate   = bandRate / decimation
)

// channelTaps pass 60 Hz on either side of the signal and end at 160 Hz: the main lobe of a dot of 20 ms, 60 words a
// minute, reaches to 50 Hz.
var channelTaps = func() []float32 {
	h := demod.Lowpass(bandRate, 60, 160, 50)
	t := make([]float32, len(h))
	for i, v := range h {
		t[i] = float32(v)
	}
	return t
}()

// channel cuts one signal out of the band and follows its pitch.
type channel struct {
	oscillator demod.Oscillator
	hz         float64 // from the middle of the band
	mixed      []complex64
	fill       int
	out        series

	// Tuning: the phase from one half dot to the next, averaged over all of them with their power, which weighs
	// marks and not gaps.
	half    int // base samples
	turn    complex128
	power   float64
	drift   float64 // Hz/s
	until   int64   // sample of out that was last used
	follows bool
}

const (
	tuneSeconds = 1.0  // time constant of the averages
	tuneGain    = 0.08 // of the error taken back each time
	tuneSure    = 0.3  // |turn|/power of a signal; of noise it is about 0.15

	// The drift is the sum of the errors. s(s+1/tuneSeconds)(s+tuneGain/hopSeconds)+driftGain = 0 has real roots up to
	// 0.2, where drift and pitch settle within 3 s; half of that settles within 10 s and costs weak signals nothing.
	driftGain  = 0.1                    // Hz/s for each second and Hz
	mostDrift  = 4                      // Hz/s
	driftSince = tuneSeconds * baseRate // before, an error is that of the first pitch
)

func (c *channel) reset(hz float64) {
	c.oscillator = demod.NewOscillator(bandRate, -hz)
	if c.mixed == nil {
		c.mixed = make([]complex64, len(channelTaps)+2*hop)
	}
	c.hz, c.fill = hz, len(channelTaps)/2
	clear(c.mixed[:c.fill]) // then the filter has no delay
	c.out.reset()
	c.half = 13
	c.turn, c.power, c.drift, c.until = 0, 0, 0, 0
	c.follows = true
}

// add takes up to hop samples of the band.
func (c *channel) add(z []complex64) {
	c.oscillator.Mix(c.mixed[c.fill:][:len(z)], z)
	c.fill += len(z)
	at := 0
	for ; at+len(channelTaps) <= c.fill; at += decimation {
		var re, im float32
		w := c.mixed[at:][:len(channelTaps)]
		for k, h := range channelTaps {
			re += h * real(w[k])
			im += h * imag(w[k])
		}
		c.out.add(complex(re, im))
	}
	c.fill = copy(c.mixed, c.mixed[at:c.fill])
	c.tune()
}

// tune measures the error of the pitch and takes some of it back.
func (c *channel) tune() {
	stride := int64(max(1, c.half/3))
	keep := math.Exp(-float64(stride) / (tuneSeconds * baseRate))
	for c.until = max(c.until, int64(2*c.half)); c.until+stride <= c.out.end; {
		c.until += stride
		t := float64(c.until)
		h := float64(c.half)
		s0, s1, s2 := c.out.at(t-2*h), c.out.at(t-h), c.out.at(t)
		a, b := s1-s0, s2-s1
		c.turn = c.turn*complex(keep, 0) + b*complex(real(a), -imag(a))
		c.power = c.power*keep + (norm(a)+norm(b))/2
	}
	if !c.follows {
		return
	}
	if off := c.error(); off != 0 {
		if c.until > driftSince {
			c.drift = min(max(c.drift+driftGain*off*hopSeconds, -mostDrift), mostDrift)
		}
		c.hz += c.drift * hopSeconds // as the signal has, so that the averages hold
		c.retune(off * tuneGain)
	}
}

// error is how far the signal is above its pitch in Hz; 0 if that cannot be told.
func (c *channel) error() float64 {
	if c.power == 0 || norm(c.turn) < tuneSure*tuneSure*c.power*c.power {
		return 0
	}
	return math.Atan2(imag(c.turn), real(c.turn)) / (2 * math.Pi * float64(c.half) / baseRate)
}

func (c *channel) retune(byHz float64) {
	c.hz += byHz
	c.oscillator.Tune(bandRate, -c.hz)
	sin, cos := math.Sincos(-2 * math.Pi * byHz * float64(c.half) / baseRate)
	c.turn *= complex(cos, sin)
}

func norm(z complex128) float64 { return real(z)*real(z) + imag(z)*imag(z) }
