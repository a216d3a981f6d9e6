package psk

import (
	"math"
	"math/cmplx"

	"ionoscribe/demod"
)

const (
	// memory is by how many of their last bits courses are told apart: what bits before were changes little of the estimated gain.
	memory  = 4
	courses = 1 << memory
	// lag is the number of symbols behind a bit that are in view when it is decided.
	lag = 10

	// Neighbouring pulses overlap: ∫p(t)p(t-T)dt is T/8, ∫p² is 3T/4, so that a sixth of its neighbours' amplitudes is in each output
	// of the matched filter. Whitened (G. D. Forney, IEEE Trans. IT-18, 1972), it has own of its symbol and other of that before:
	// own² + other² = 1, own·other = 1/6.
	own, other = 0.98559, 0.16910
	// whiteTaps of the whitening filter, which goes back in time, are worth having: (other/own)⁴ is -61 dB.
	whiteTaps = 4

	// A bit is decided late symbols after the one that ends it.
	late = lag + whiteTaps - 1

	followSymbols = 3 * Baud // in which noise and level are followed
	fitSymbols    = Baud     // of which fit is the average

	// The gain of a path follows h(k) = φ₁h(k-1) + φ₂h(k-2) + w(k), by the Yule-Walker equations for a Gaussian spectrum of a standard
	// deviation of spreadHz, that of a moderate path (ITU-R F.1487). Steady paths lose little by it, and those that fade faster are
	// followed thanks to leastDrive: w has this power at least, of a gain of power 1, where the equations have 1e-5.
	spreadHz   = 0.25
	leastDrive = 1e-3
)

// φ₁, φ₂ and the correlation of the gains of neighbours.
var phi1, phi2, neighbours = func() (phi1, phi2, r1 float64) {
	x := math.Pow(2*math.Pi*spreadHz*symbolTime, 2)
	r1, r2 := math.Exp(-x/2), math.Exp(-2*x)
	return r1 * (1 - r2) / (1 - r1*r1), (r2 - r1*r1) / (1 - r1*r1), r1
}()

// turns are those of a symbol by its bit and the ones before, the latest the lowest: as many as the code of QPSK remembers.
type turns [2 * courses]complex128

var (
	// twoPhases: 0 is a reversal.
	twoPhases = turnsBy(func(bits int) complex128 { return complex(float64(2*(bits&1)-1), 0) })
	// fourPhases in the audio frequency going up, and as on the other sideband.
	fourPhases   = turnsBy(func(bits int) complex128 { return quarters[turnOf(bits)] })
	fourMirrored = turnsBy(func(bits int) complex128 { return cmplx.Conj(quarters[turnOf(bits)]) })
	quarters     = [4]complex128{1, 1i, -1, -1i}
)

func turnsBy(of func(bits int) complex128) *turns {
	t := new(turns)
	for bits := range t {
		t[bits] = of(bits)
	}
	return t
}

// trellis finds the probability of each bit by all courses that the bits may take. With each course goes an estimate of the path's gain,
// a complex number that changes slowly, by a Kalman filter (per-survivor processing: Raheli, Polydoros and Tzou, IEEE Trans. COM-43,
// 1995). Courses that have their last bits in common become one.
type trellis struct {
	turns        *turns
	fit          float64 // how likely the last symbols were, on the average
	evidence     float64 // for these turns, of all symbols: log-likelihood ratio to noise that is as strong
	level, noise float64 // mean powers of symbols, and of the noise
	recent       [whiteTaps]complex128
	count        int // symbols
	now, then    [courses]course
}

// course is one of the sequences of bits that are followed.
type course struct {
	weight         float64
	gain, before   complex128       // mean of the gain of this symbol and that before, both turned as this symbol is,
	power, earlier float64          // their variances,
	cross          complex128       // and covariance
	ones           [lag + 1]float64 // probabilities of 1 of the last bits, by their numbers
}

// begin forgets everything, and measures noise and level by some symbols.
func (t *trellis) begin(by *turns, symbols []complex128) {
	square, fourth := 0.0, 0.0
	for _, y := range symbols {
		p := norm(y)
		square += p
		fourth += p * p
	}
	mean := square / float64(max(len(symbols), 1))
	level, noise := demod.MomentSNR(len(symbols), square, fourth)
	noise = max(noise, 0.02*mean, 1e-30)
	level = max(level, noise/10)
	*t = trellis{turns: by, level: level, noise: noise}
	for s := range t.now {
		t.now[s] = course{weight: 1.0 / courses, power: level, earlier: level, cross: complex(neighbours*level, 0)}
		for k := range t.now[s].ones {
			t.now[s].ones[k] = 0.5
		}
	}
}

func norm(z complex128) float64 { return real(z)*real(z) + imag(z)*imag(z) }

// take takes a symbol, and gives the log-likelihood ratio for 1 of the bit that ended late symbols before.
func (t *trellis) take(y complex128) float64 {
	if a, most := cmplx.Abs(y), 3*math.Sqrt(t.level)+3*math.Sqrt(t.noise); a > most { // a crash
		y *= complex(most/a, 0)
	}
	copy(t.recent[:], t.recent[1:])
	t.recent[whiteTaps-1] = y
	if t.count++; t.count < whiteTaps {
		return 0
	}
	var white complex128
	for k := whiteTaps - 1; k >= 0; k-- {
		white = t.recent[k]/own - white*(other/own)
	}
	stray := t.step(white)
	t.level += (max(norm(white)-t.noise, 0) - t.level) / followSymbols
	t.noise *= 1 + min(stray-1, 4)/followSymbols
	t.noise = max(t.noise, 1e-3*t.level, 1e-30)
	t.level = max(t.level, t.noise/10)
	one, zero := 0.0, 0.0
	for s := range t.now {
		c := &t.now[s]
		p := c.ones[(t.count+1)%(lag+1)] // the oldest
		one += c.weight * p
		zero += c.weight * (1 - p)
	}
	return math.Log((one + 1e-300) / (zero + 1e-300))
}

// step goes on from one symbol to the next. It gives the power by which the symbol strays, of that by which it should.
func (t *trellis) step(y complex128) (stray float64) {
	t.now, t.then = t.then, t.now
	for s := range t.now {
		t.now[s].weight = 0
	}
	drive, all := leastDrive*t.level, t.level+t.noise
	likely := 0.0
	for s := range t.then {
		from := t.then[s]
		from.advance(drive)
		for bit := range 2 {
			to := from
			stray += to.observe(y, t.turns[s<<1|bit], t.noise)
			likely += to.weight
			to.ones[t.count%(lag+1)] = float64(bit)
			t.now[(s<<1|bit)%courses].join(&to)
		}
	}
	for s := range t.now {
		t.now[s].weight /= likely + 1e-300
	}
	t.evidence += math.Log(likely*all/2+1e-300) + norm(y)/all // a bit is as likely to be 0 as 1
	t.fit += (math.Log(likely*t.level+1e-300) - t.fit) / fitSymbols
	return stray / (likely + 1e-300)
}

// advance is from one symbol to the next, the power of w being drive.
func (c *course) advance(drive float64) {
	c.gain, c.before = complex(phi1, 0)*c.gain+complex(phi2, 0)*c.before, c.gain
	power := phi1*phi1*c.power + 2*phi1*phi2*real(c.cross) + phi2*phi2*c.earlier + drive
	c.cross = complex(phi1*c.power, 0) + complex(phi2, 0)*cmplx.Conj(c.cross)
	c.power, c.earlier = power, c.power
}

// observe takes a symbol that is turned against the last one: the weight becomes the likelihood. It gives by how much the symbol strays,
// times the weight.
func (c *course) observe(y, turn complex128, noise float64) float64 {
	c.gain, c.before = c.gain*turn, c.before*turn
	past := cmplx.Conj(turn) * other // the symbol before is not turned
	toGain := complex(own*c.power, 0) + c.cross*cmplx.Conj(past)
	toBefore := cmplx.Conj(c.cross)*own + complex(c.earlier, 0)*cmplx.Conj(past)
	variance := own*real(toGain) + real(past*toBefore) + noise
	e := y - own*c.gain - past*c.before
	stray := norm(e) / variance
	c.weight *= math.Exp(-min(stray, 300)) / variance
	part := complex(1/variance, 0)
	c.gain += toGain * part * e
	c.before += toBefore * part * e
	c.power -= norm(toGain) / variance
	c.earlier -= norm(toBefore) / variance
	c.cross -= toGain * cmplx.Conj(toBefore) * part
	return c.weight * stray
}

// join makes one of two courses, with the mean and the covariance of both.
func (c *course) join(o *course) {
	sum := c.weight + o.weight
	if c.weight == 0 || !(sum > 0) {
		*c = *o
		return
	}
	p := o.weight / sum
	part, both := complex(p, 0), p*(1-p)
	d, e := o.gain-c.gain, o.before-c.before
	c.gain += part * d
	c.before += part * e
	c.power += p*(o.power-c.power) + both*norm(d)
	c.earlier += p*(o.earlier-c.earlier) + both*norm(e)
	c.cross += part*(o.cross-c.cross) + complex(both, 0)*d*cmplx.Conj(e)
	for k := range c.ones {
		c.ones[k] += p * (o.ones[k] - c.ones[k])
	}
	c.weight = sum
}
