package psk

import (
	"math"
	"math/cmplx"

	"ionoscribe/demod"
)

// The wide baseband: 0 to 4 kHz of audio as complex samples.
const (
	wideRate     = 4000.0 // Hz
	wideCentreHz = 2000.0
	widePassHz   = 1850.0

	symbolLength = 128 // wide samples: wideRate / Baud
	perSymbol    = 8   // grid points in a symbol: a filter that is off by half a step loses 0.1 dB
	stepLength   = symbolLength / perSymbol
	pulseLength  = 2 * symbolLength
)

// pulse is that of a symbol, and the filter matched to it: a signal of amplitude A gives A.
var pulse = func() (p [pulseLength]float32) {
	sum := 0.0
	for i := range p {
		v := 0.5 - 0.5*math.Cos(2*math.Pi*(float64(i)+0.5)/pulseLength)
		p[i] = float32(v)
		sum += v * v
	}
	for i := range p {
		p[i] /= float32(sum)
	}
	return p
}()

// pulseEnergy is the sum of the squares of a pulse, 3/8 of its length: white noise has so much less power behind the filter. overlap
// is how much of a symbol's amplitude its neighbour adds: ∫p(t)p(t-T)dt is T/8 for this pulse, ∫p² is 3T/4.
const (
	pulseEnergy = pulseLength * 3.0 / 8
	overlap     = 1.0 / 6
)

// filter mixes a signal down and filters it: an output a grid point.
type filter struct {
	hz    float64
	osc   demod.Oscillator
	past  [pulseLength]complex64 // ring of mixed samples
	taken int64                  // wide samples
}

func (f *filter) tune(hz float64) {
	f.hz = hz
	f.osc.Tune(wideRate, wideCentreHz-hz)
}

// next takes the samples of a step and gives the output for the symbol whose middle is half a pulse ago.
func (f *filter) next(z []complex64) complex128 {
	for _, v := range z {
		f.past[f.taken%pulseLength] = v * f.osc.Next()
		f.taken++
	}
	var re, im float32
	at := int(f.taken % pulseLength)
	for i, v := range f.past[at:] {
		re += real(v) * pulse[i]
		im += imag(v) * pulse[i]
	}
	for i, v := range f.past[:at] {
		p := pulse[pulseLength-at+i]
		re += real(v) * p
		im += imag(v) * p
	}
	return complex(float64(re), float64(im))
}

// steadiness tells how far the phases from symbol to symbol are whole or half turns: 1 of a clear signal, some 1/√n of noise.
type steadiness struct {
	sum  complex128 // of the doubled angles of the steps, as unit vectors
	mass float64
}

func (s *steadiness) add(step complex128, memory float64) {
	if a := cmplx.Abs(step); a > 0 {
		step /= complex(a, 0)
	}
	s.sum = s.sum*complex(memory, 0) + step*step
	s.mass = s.mass*memory + 1
}

// value is from 0 to 1.
func (s *steadiness) value() float64 { return cmplx.Abs(s.sum) / max(s.mass, 1) }

// hz is by how much the signal is above its pitch.
func (s *steadiness) hz() float64 { return cmplx.Phase(s.sum) / 2 / (2 * math.Pi) * Baud }

// dip tells how deep the amplitude falls where the carrier is reversed, which it does in nothing else: power between two symbols over
// that in their middles, 0.1 to 0.25 of a signal at the limit, and 1 of noise.
//
// It tells too how rough the level is from symbol to symbol: keying by switching jumps, fading does not.
type dip struct{ between, middle, jumps, levels float64 }

func (d *dip) add(before, between, after complex128, memory float64) {
	d.between *= memory
	d.middle *= memory
	if real(after*cmplx.Conj(before)) < 0 {
		d.between += power(between)
		d.middle += (power(before) + power(after)) / 2
	}
	a, b := power(before), power(after)
	d.jumps = d.jumps*memory + (a-b)*(a-b)
	d.levels = d.levels*memory + (a+b)*(a+b)
}

// natural says that both are as of a signal.
func (d *dip) natural() bool { return d.between < mostDip*d.middle && d.jumps < mostRough*d.levels }

const (
	mostDip = 0.5
	// mostRough: a signal of Es/N0 γ has (2γ+1)/(2(γ+1)²+2γ+1), 0.13 at the limit, and noise 0.33.
	mostRough = 0.2
)

func power(z complex128) float64 { return real(z)*real(z) + imag(z)*imag(z) }

const (
	// The loop that tunes: errors are corrected in some two seconds, a drift of 1 Hz/s is learnt in five.
	tuneShare  = 0.04
	driftShare = 0.0003
	mostDrift  = 2 / Baud // Hz a symbol: 2 Hz/s
	// steadyMemory is that of steadiness, from symbol to symbol: 2 s.
	steadyMemory = 1 - 1.0/64

	timingMemory = 1 - 1.0/64
	timingLead   = 1.01
)

// receiver receives one signal.
type receiver struct {
	number int
	filter filter
	energy [perSymbol]float64    // of the filter's output, by grid point of a symbol
	points int64                 // grid points
	next   int64                 // grid point of the next symbol
	begun  int64                 // wide sample of the first grid point
	past   [perSymbol]complex128 // of the filter's output
	last   complex128
	steady steadiness
	dip    dip
	drift  float64
	trellis
	speller speller

	poor  int     // symbols in which it was not steady
	level float64 // power, of late
}

// begin starts at a wide sample, with what an acquisition found.
func (r *receiver) begin(a acquired, at int64) {
	n := r.number
	*r = receiver{number: n, begun: at, next: a.timing}
	r.filter.tune(a.hz)
	r.drift = a.drift / Baud
	r.steady = steadiness{complex(a.steady*32, 0), 32}
	r.trellis.begin(a.noise)
}

// listen takes a step of the wide baseband; it says whether a symbol is ready in r.last.
func (r *receiver) listen(z []complex64) bool {
	y := r.filter.next(z)
	p := r.points
	r.points++
	r.past[p%perSymbol] = y
	e := &r.energy[p%perSymbol]
	*e = *e*timingMemory + power(y)
	if p != r.next {
		return false
	}
	step := y * cmplx.Conj(r.last)
	r.dip.add(r.last, r.past[(p+perSymbol/2)%perSymbol], y, steadyMemory)
	r.last = y
	r.steady.add(step, steadyMemory)
	r.level += (power(y) - r.level) / 64
	now, early, late := r.energy[p%perSymbol], r.energy[(p+perSymbol-1)%perSymbol], r.energy[(p+1)%perSymbol]
	switch {
	case early > timingLead*now && early > late:
		r.next += perSymbol - 1
	case late > timingLead*now:
		r.next += perSymbol + 1
	default:
		r.next += perSymbol
	}
	r.follow()
	return true
}

// follow tunes.
func (r *receiver) follow() {
	off := r.steady.hz()
	r.drift = min(max(r.drift+driftShare*off, -mostDrift), mostDrift)
	move := tuneShare*off + r.drift
	r.filter.tune(r.filter.hz + move)
	// What was seen is seen turned back by what has been corrected, but for the drift, by which the signal has moved too.
	r.steady.sum *= cmplx.Rect(1, -4*math.Pi*(move-r.drift)/Baud)
}
