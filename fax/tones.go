package fax

import "math"

// Control tones are alternations of black and white. They are looked for in the video, as the imaginary part
// of z(n)·conj(z(n-2)): at ±400 Hz and VideoRate the phase turns by ±80 degrees in two samples, so this is
// the brightness, weighted by power, at its greatest contrast.

// toneCycle is the number of samples after which all three tones repeat: 12, 8 and 16/3 samples a cycle.
// A hop is seven of them, 93 ms: short enough to keep 60 % of the amplitude of a tone that is 1 % off
// (7 Hz; tolerance from WMO-No. 386, from memory, doubtful), long enough for -3 dB SNR.
const (
	toneCycle = 48
	toneHop   = 7 * toneCycle
	toneHopHz = VideoRate / toneHop
)

// A tone is believed after toneHops hops, 2.2 s, of which all but toneGaps hold some of it.
const (
	toneHops = 24
	toneGaps = 3
)

var toneHz = [...]float64{StartHz576, StartHz288, StopHz}

// toneSearch watches for control tones.
type toneSearch struct {
	before [2]complex64 // the last two samples
	fold   [toneCycle]float32
	n      int
	power  float32
	share  [len(toneHz)][toneHops]float32   // of the video's power that is in the tone, by hop
	wave   [len(toneHz)][toneHops]complex64 // amplitude and phase
	hop    int64
}

// toneFound is a control tone that has just been believed.
type toneFound struct {
	hz   float64
	from int64 // video index where it began
}

var toneTable = makeToneTable()

func makeToneTable() (t [len(toneHz)][toneCycle]complex64) {
	for i, hz := range toneHz {
		for k := range t[i] {
			s, c := math.Sincos(2 * math.Pi * hz / VideoRate * float64(k))
			t[i][k] = complex64(complex(c, -s))
		}
	}
	return t
}

// add takes samples; found is called for each tone when it is believed, once every toneHops hops at most.
// ends[i] is kept at the index where tone i was last heard.
func (t *toneSearch) add(z []complex64, found func(toneFound)) {
	for _, c := range z {
		p := t.before[0]
		v := imag(c)*real(p) - real(c)*imag(p)
		t.before[0], t.before[1] = t.before[1], c
		t.fold[t.n%toneCycle] += v
		t.power += v * v
		t.n++
		if t.n == toneHop {
			t.endHop(found)
		}
	}
}

func (t *toneSearch) endHop(found func(toneFound)) {
	mean := float32(0)
	for _, v := range t.fold {
		mean += v
	}
	mean /= toneHop
	spread := t.power - toneHop*mean*mean
	slot := t.hop % toneHops
	for i := range toneHz {
		var sum complex64
		for k, v := range t.fold {
			sum += complex(v, 0) * toneTable[i][k]
		}
		t.wave[i][slot] = sum
		t.share[i][slot] = 2 * (real(sum)*real(sum) + imag(sum)*imag(sum)) / (toneHop*spread + 1e-30)
	}
	t.hop++
	t.fold, t.power, t.n = [toneCycle]float32{}, 0, 0
	if t.hop < toneHops {
		return
	}
	for i, hz := range toneHz {
		if t.believed(i) {
			found(toneFound{hz, t.began(i) * toneHop})
			clear(t.share[i][:]) // and not again for the same hops
		}
	}
}

// Bounds on the share of the video's power in a tone. Noise alone has 2/toneHop = 0.006 on average; at -3 dB
// SNR a tone has 0.13 or more, 1 % off frequency 0.05.
const (
	toneShare    = 0.05
	toneShareLow = 0.015
)

// believed reports whether tone i has lasted for the hops in store: strong enough on average, hardly ever
// absent, and advancing evenly in phase, by no more than its tolerance.
func (t *toneSearch) believed(i int) bool {
	var sum float32
	gaps := 0
	for _, s := range t.share[i] {
		sum += s
		if s < toneShareLow {
			gaps++
		}
	}
	if sum < toneShare*toneHops || gaps > toneGaps {
		return false
	}
	var turn complex64
	var size float32
	for h := t.hop - toneHops + 1; h < t.hop; h++ {
		a, b := t.wave[i][(h-1)%toneHops], t.wave[i][h%toneHops]
		p := b * complex(real(a), -imag(a))
		turn += p
		size += abs(p)
	}
	const (
		steady    = 0.7
		tolerance = 0.012 // of the tone: 1 %, and what 24 hops leave uncertain
	)
	off := math.Atan2(float64(imag(turn)), float64(real(turn))) * toneHopHz / (2 * math.Pi)
	return abs(turn) > steady*size && math.Abs(off) < tolerance*toneHz[i]
}

// began is the first of the hops in store in which tone i is clearly there.
func (t *toneSearch) began(i int) int64 {
	for h := t.hop - toneHops; ; h++ {
		if t.share[i][h%toneHops] > 2*toneShareLow || h == t.hop-1 {
			return h
		}
	}
}

func abs(c complex64) float32 { return sqrt32(real(c)*real(c) + imag(c)*imag(c)) }

// present reports whether the tone is in the last hop.
func (t *toneSearch) present(hz float64) bool {
	for i, h := range toneHz {
		if h == hz {
			return t.share[i][(t.hop-1)%toneHops] > 2*toneShareLow
		}
	}
	return false
}
