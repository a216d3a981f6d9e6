package station

import (
	"math"
	"sync"
)

// Level is how strong what a receiver gives was in the last second.
type Level struct {
	RMS     float64 `json:"rms_db"`  // over full scale; -120 at least
	Peak    float64 `json:"peak_db"` // over full scale
	Clipped float64 `json:"clipped"` // share of the samples at full scale
}

// clippedAt is the amplitude from which on a sample is clipped: that of 8-bit samples is 127/128 at most.
const clippedAt = 0.99

// leastLevel in dB is that of silence.
const leastLevel = -120.0

// meter measures levels. Another goroutine may ask it.
type meter struct {
	rate float64 // samples a second

	mutex sync.Mutex
	last  Level
	known bool

	power   float64
	peak    float64
	clipped int
	n       int
}

func (m *meter) add(b Block) {
	for _, v := range b.Audio {
		m.sample(float64(v), float64(v)*float64(v))
	}
	for _, v := range b.IQ {
		re, im := float64(real(v)), float64(imag(v))
		m.sample(max(math.Abs(re), math.Abs(im)), (re*re+im*im)/2)
	}
}

func (m *meter) sample(amplitude, power float64) {
	amplitude = math.Abs(amplitude)
	if power-power != 0 || amplitude != amplitude { // what is no number is silence
		amplitude, power = 0, 0
	}
	m.power += power
	m.peak = max(m.peak, amplitude)
	if amplitude >= clippedAt {
		m.clipped++
	}
	if m.n++; float64(m.n) < m.rate {
		return
	}
	db := func(power float64) float64 { return max(10*math.Log10(power+1e-30), leastLevel) }
	m.mutex.Lock()
	m.last, m.known = Level{RMS: db(m.power / float64(m.n)), Peak: db(m.peak * m.peak), Clipped: float64(m.clipped) / float64(m.n)}, true
	m.mutex.Unlock()
	m.power, m.peak, m.clipped, m.n = 0, 0, 0, 0
}

// level is that of the last second, if there was one.
func (m *meter) level() (Level, bool) {
	m.mutex.Lock()
	defer m.mutex.Unlock()
	return m.last, m.known
}
