package cw

import (
	"math"

	"ionoscribe/demod"
	"ionoscribe/demod/narrow"
)

// Rates of the two stages: the whole passband, and one signal.
const (
	bandRate   = narrow.Rate
	hop        = narrow.Hop
	hopSeconds = narrow.HopSeconds
	decimation = 8
	baseRate   = bandRate / decimation
)

const (
	channelPassHz = 60  // on either side: the main lobe of a dot of 20 ms, 60 words a minute, reaches to 50 Hz
	channelStopHz = 160 // from which on other signals are attenuated by
	channelStopDB = 50  // (own choice)
)

// channelTaps are the first half of those of the channel's filter; the last is half of the one in the middle.
var channelTaps = func() []float32 {
	h := demod.Lowpass(bandRate, channelPassHz, channelStopHz, channelStopDB)
	t := make([]float32, len(h)/2+1)
	for i := range t {
		t[i] = float32(h[i])
	}
	t[len(t)-1] /= 2
	return t
}()

// channelWidth is that of the filter in samples of the band.
var channelWidth = 2*len(channelTaps) - 1

// channel cuts one signal out of the band and follows its pitch.
type channel struct {
	oscillator demod.Oscillator
	hz         float64 // from the middle of the band
	mixed      []complex64
	fill       int
	out        series

	// Tuning measures the change of phase from one half dot to the next. The mean is weighted by power, so that marks count
	// and gaps do not.
	half    int // half a dot in base samples
	turn    complex128
	power   float64
	drift   float64 // Hz/s
	until   int64   // sample of out that was last used
	follows bool
}

const (
	// Half a dot while its length is not known: 26 ms, at 23 words a minute. Its limits are 10 ms, within a mark's edges, and
	// 80 ms, in which the sign of an error above 6 Hz is ambiguous.
	firstHalf, leastHalf, mostHalf = 13, 5, 40 // base samples
	tunesInHalf                    = 3         // measurements in half a dot

	tuneSeconds = 1.0  // time constant of the averages
	tuneGain    = 0.08 // of the error that is corrected each time (own choice)
	tuneSure    = 0.3  // |turn|/power of a signal; of noise it is about 0.15

	// The drift is the sum of the errors. s(s+1/tuneSeconds)(s+tuneGain/hopSeconds)+driftGain = 0 has real roots up to
	// 0.2, where drift and pitch settle within 3 s; half of that settles within 10 s and costs weak signals nothing.
	driftGain  = 0.1                    // Hz/s for each second and Hz
	mostDrift  = 4                      // Hz/s, either way (own choice)
	driftSince = tuneSeconds * baseRate // base samples before which an error is that of the first pitch
)

func (c *channel) reset(hz float64) {
	c.oscillator = demod.NewOscillator(bandRate, -hz)
	if c.mixed == nil {
		c.mixed = make([]complex64, channelWidth+2*hop)
	}
	c.hz, c.fill = hz, channelWidth/2
	clear(c.mixed[:c.fill]) // so that the filter has no delay
	c.out.reset()
	c.half = firstHalf
	c.turn, c.power, c.drift, c.until = 0, 0, 0, 0
	c.follows = true
}

// setDot sets the length of a dot in base samples, by which the phase is measured.
func (c *channel) setDot(dot float64) { c.half = min(max(leastHalf, int(dot/2)), mostHalf) }

// add takes up to hop samples of the band.
func (c *channel) add(z []complex64) {
	c.oscillator.Mix(c.mixed[c.fill:][:len(z)], z)
	c.fill += len(z)
	at := 0
	for ; at+channelWidth <= c.fill; at += decimation {
		c.out.add(filtered(c.mixed[at:][:channelWidth]))
	}
	c.fill = copy(c.mixed, c.mixed[at:c.fill])
	c.tune()
}

// filtered is the output of the filter for its width of samples; the filter is symmetric, so pairs are added first.
func filtered(x []complex64) complex64 {
	var r0, r1, i0, i1 float32 // independent sums, which the processor adds at the same time
	h, y := channelTaps, x[len(x)-len(channelTaps):]
	x = x[:len(h)]
	for len(h) >= 2 && len(x) >= 2 && len(y) >= 2 {
		a, b := x[0], y[len(y)-1]
		r0 += h[0] * (real(a) + real(b))
		i0 += h[0] * (imag(a) + imag(b))
		a, b = x[1], y[len(y)-2]
		r1 += h[1] * (real(a) + real(b))
		i1 += h[1] * (imag(a) + imag(b))
		h, x, y = h[2:], x[2:], y[:len(y)-2]
	}
	for k, v := range h {
		a, b := x[k], y[len(y)-1-k]
		r0 += v * (real(a) + real(b))
		i0 += v * (imag(a) + imag(b))
	}
	return complex(r0+r1, i0+i1)
}

// tune measures the error of the pitch and corrects some of it.
func (c *channel) tune() {
	stride := int64(max(1, c.half/tunesInHalf))
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
		c.hz += c.drift * hopSeconds // the signal's pitch has changed as well, so the means stay valid
		c.retune(off * tuneGain)
	}
}

// error is how far the signal is above its pitch in Hz; 0 if the signal is too weak to tell.
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
