package demod

import (
	"fmt"
	"math"
	"sync"
	"weak"
)

// bank is what a Baseband computes with and never changes, so that equal configurations share it.
type bank struct {
	half        int          // K: taps reach from K-1 samples before the output's input sample to K after it
	phases      [][]tapGroup // phases[p] puts the output p/len(phases) of a sample later
	advanceInt  int64        // input samples from one output to the next: whole part
	advanceFrac uint64       // and fraction, 2^-64 samples
	turn        uint64       // centre frequency, 2^-64 cycles per input sample
}

// tapGroup holds eight complex taps in the order in which the inner loop wants them.
type tapGroup struct{ re, im [8]float32 }

var banks struct {
	sync.Mutex
	known map[BasebandConfig]weak.Pointer[bank] // weak: the tables live as long as someone uses them
}

// sharedBank finds or makes the tables for a checked, completed configuration.
func sharedBank(c BasebandConfig) (*bank, error) {
	banks.Lock()
	defer banks.Unlock()
	if b := banks.known[c].Value(); b != nil {
		return b, nil
	}
	b, err := newBank(c)
	if err != nil {
		return nil, err
	}
	for k, p := range banks.known {
		if p.Value() == nil {
			delete(banks.known, k)
		}
	}
	if banks.known == nil {
		banks.known = map[BasebandConfig]weak.Pointer[bank]{}
	}
	banks.known[c] = weak.Make(b)
	return b, nil
}

func newBank(c BasebandConfig) (*bank, error) {
	order := KaiserOrder(c.SampleRate, c.StopHz-c.PassHz, c.AttenuationDB)
	n := phaseCount(c)
	if float64(n)*(order+8) > maxTaps {
		return nil, fmt.Errorf("demod: baseband: %g to %g Hz at %g Hz takes a filter of more than %d taps",
			c.PassHz, c.StopHz, c.SampleRate, maxTaps)
	}
	half := 4 * int(math.Ceil(order/8)) // 2·half taps fill whole groups; the window widens to use them all
	ratio := c.SampleRate / c.OutputRate
	b := &bank{
		half:        half,
		phases:      make([][]tapGroup, n),
		advanceInt:  int64(ratio),
		advanceFrac: turns(c.SampleRate, c.OutputRate),
		turn:        turns(c.CentreHz, c.SampleRate),
	}
	lo, hi := c.cutoffs()
	cut, middle := (hi-lo)/2/c.SampleRate, (hi+lo)/2/c.SampleRate
	centre, beta := c.CentreHz/c.SampleRate, KaiserBeta(c.AttenuationDB)

	// The prototype at n points an input sample. The window is open at its ends; it is symmetric, so one half will do.
	h := make([]float64, half*n)
	sum := 0.0
	for i := range h {
		h[i] = kaiserSinc(float64(i)/float64(n), cut, float64(half), beta)
		sum += 2 * h[i]
	}
	sum -= h[0]
	// Its gain at the centre becomes 1; 2 makes a real cosine of amplitude A a phasor of length A.
	scale := 2 * float64(n) / sum
	for p := range n {
		g := make([]tapGroup, 2*half/8)
		for j := range 2 * half {
			i := (half-1-j)*n + p // the tap meets the input sample i/n before the output's time
			if i == -half*n {
				continue // the open end
			}
			v := scale * h[max(i, -i)]
			s, co := math.Sincos(2 * math.Pi * (middle*float64(i) - centre*float64(p)) / float64(n))
			g[j/8].re[j%8], g[j/8].im[j%8] = float32(v*co), float32(v*s)
		}
		b.phases[p] = g
	}
	return b, nil
}

// cutoffs are the edges of the band (-6 dB, Hz of input): PassHz and StopHz meet halfway on each side of the
// centre. Kept between 0 and SampleRate/2, they hold off the mirror image that a real signal has beyond.
func (c BasebandConfig) cutoffs() (lo, hi float64) {
	reach := (c.PassHz + c.StopHz) / 2
	return max(c.CentreHz-reach, 0), min(c.CentreHz+reach, c.SampleRate/2)
}

// phaseCount is the number of filter phases per input sample. If SampleRate/OutputRate is M/L with small L,
// the outputs fall on L phases exactly. Otherwise each takes the nearest of P phases: a timing error d
// evenly spread over ±1/2P samples. The oscillator turns with the whole input samples and the taps hold the
// rest, so a component f Hz from the centre gets the phase error 2πf·d/SampleRate, of rms value
// 2πf/(SampleRate·P·√12). P makes that 10 dB weaker than the stopband at the passband's edge:
// with 50 dB, 1400 Hz at 12 kHz, P = 212 and the error is -60 dB.
func phaseCount(c BasebandConfig) int {
	rms := 2 * math.Pi * c.PassHz / c.SampleRate / math.Sqrt(12) // for P = 1
	enough := int(math.Ceil(min(rms*math.Pow(10, (c.AttenuationDB+10)/20), maxTaps)))
	for l := 1; l <= max(enough, 64); l++ {
		// Rates are decimal numbers of some ten digits; float64 division is good to 1.1e-16 of the value.
		if m := c.SampleRate / c.OutputRate * float64(l); math.Abs(m-math.Round(m)) < 1e-15*m {
			return l
		}
	}
	return enough
}
