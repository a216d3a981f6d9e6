package live

import (
	"fmt"
	"math"

	"ionoscribe/demod"
	"ionoscribe/internal/station"
)

// HeardRate is the rate in Hz of what a Listening gives. Half of it is beyond the audio of short-wave receivers.
const HeardRate = demod.TunerRate

// Passband is what somebody listens to, in Hz on the scale of the receiver's spectrum: on the air, in the audio, or from the middle of
// the band. The zero value is all of the audio.
type Passband struct{ LowHz, HighHz float64 }

const (
	edgeHz     = 100.0 // from the edge of a passband to where all is held off: enough for the neighbour of a narrow signal
	heldOffDB  = 60.0
	leastHalf  = 25.0   // Hz, half the width of a passband: Morse of 50 words a minute still sounds like it
	usualHz    = 1500.0 // where the middle of a passband of complex samples is heard
	mostIQWide = demod.TunerHighHz - demod.TunerLowHz
)

// ear makes audio of a passband from a receiver's samples.
//
//	complex samples ─ Tuner ─┐
//	audio ───────────────────┴─ Baseband: filter, resample ─ mix back, take the real part ─► 12 kHz
type ear struct {
	tuner  *demod.Tuner // nil: the samples are audio
	narrow *demod.Baseband
	unmix  demod.Oscillator
	tuned  []float32
	band   []complex64
}

// newEar fails, in words for whoever listens, if the passband is not what the receiver hears.
func newEar(t tuning, p Passband) (*ear, error) {
	low, high, rate := p.LowHz-t.dialHz, p.HighHz-t.dialHz, t.rate
	all := p == Passband{}
	e := new(ear)
	switch {
	case !(p.LowHz <= p.HighHz):
		return nil, fmt.Errorf("low_hz = %g is not below high_hz = %g", p.LowHz, p.HighHz)
	case t.iq && all:
		return nil, fmt.Errorf("the receiver hears a band of %g Hz; give low_hz and high_hz of what is to be heard", t.rate)
	case t.iq && high-low > mostIQWide:
		return nil, fmt.Errorf("%g Hz are too wide to be heard; give %d at most", high-low, mostIQWide)
	case t.iq && (high < -rate/2 || low > rate/2):
		return nil, fmt.Errorf("%g to %g Hz are not within the receiver's band", p.LowHz, p.HighHz)
	case t.iq:
		low, high = max(low, -rate/2), min(high, rate/2)
		middle := max(usualHz, (high-low)/2+demod.TunerLowHz)
		dial := max((low+high)/2-middle, -rate/2) // at the lower edge of the band it is heard lower
		var err error
		if e.tuner, err = demod.NewTuner(demod.TunerConfig{SampleRate: rate, DialHz: dial}); err != nil {
			return nil, err
		}
		low, high, rate = low-dial, high-dial, e.tuner.Rate()
	case all:
		low, high = edgeHz, min(rate, HeardRate)/2-edgeHz
	case t.lower && t.dialHz != 0:
		low, high = -high, -low
	}
	if high < 0 || low > min(rate, HeardRate)/2 {
		return nil, fmt.Errorf("%g to %g Hz are not within what the receiver hears", p.LowHz, p.HighHz)
	}
	low, high = max(low, 0), min(high, min(rate, HeardRate)/2)
	centre, half := (low+high)/2, max((high-low)/2, leastHalf)
	var err error
	e.narrow, err = demod.NewBaseband(demod.BasebandConfig{SampleRate: rate, OutputRate: HeardRate, CentreHz: centre, PassHz: half, StopHz: half + edgeHz,
		AttenuationDB: heldOffDB})
	e.unmix = demod.NewOscillator(HeardRate, centre)
	return e, err
}

// hear appends what is heard of a block.
func (e *ear) hear(dst []float32, b station.Block) []float32 {
	sound := b.Audio
	if e.tuner != nil {
		e.tuned = e.tuner.Append(e.tuned[:0], b.IQ)
		sound = e.tuned
	}
	e.band = e.narrow.Append(e.band[:0], sound)
	for _, z := range e.band {
		w := e.unmix.Next()
		dst = append(dst, real(z)*real(w)-imag(z)*imag(w))
	}
	return dst
}

// evenLevel makes a passband as loud as others: that of a weak signal may have a millionth of the band's power.
type evenLevel struct{ peak float32 } // of late

const (
	evenPeak   = 0.25 // leaves room for what is louder than all before it
	mostGain   = 1000 // 60 dB: more would be the noise of 16-bit samples
	peakFallDB = 10.0 // a second: in the pauses of Morse the noise does not rise to what is sent
)

var peakFall = float32(math.Pow(10, -peakFallDB/20/HeardRate))

func (e *evenLevel) apply(x []float32) {
	for i, v := range x {
		e.peak = max(v, -v, e.peak*peakFall)
		if e.peak > evenPeak/mostGain {
			x[i] = v * evenPeak / e.peak
		} else {
			x[i] = v * mostGain
		}
	}
}
