package decodertest

import (
	"math"
	"math/rand/v2"
)

// Music makes seconds of a band that plays to the clock, beats a minute: chords, arpeggios and a tune with harmonics and
// vibrato, bass and drums. tuning is the middle C in Hz.
func Music(rng *rand.Rand, rate, seconds, beats, tuning float64) []float32 {
	x := make([]float32, int(rate*seconds))
	note := func(at, length, hz, loud, vibrato float64, harmonics int, decay bool) {
		first := int(at * rate)
		n := int(length * rate)
		for i := first; i < first+n && i < len(x); i++ {
			t := float64(i-first) / rate
			a := loud * math.Min(1, t*50) * math.Min(1, (length-t)*50)
			if decay {
				a *= math.Exp(-3 * t)
			}
			p := 2 * math.Pi * hz * (t + vibrato/hz*math.Sin(2*math.Pi*5.5*t))
			s, k := 0.0, 1.0
			for range harmonics {
				s += math.Sin(k*p) / k
				k++
			}
			x[i] += float32(a * s)
		}
	}
	drum := func(at, length, loud float64, bass bool) {
		first := int(at * rate)
		for i := first; i < first+int(length*rate) && i < len(x); i++ {
			t := float64(i-first) / rate
			if bass {
				x[i] += float32(loud * math.Sin(2*math.Pi*(60*t+10*(1-math.Exp(-20*t)))) * math.Exp(-15*t))
			} else {
				x[i] += float32(loud * rng.NormFloat64() * math.Exp(-25*t))
			}
		}
	}
	hz := func(semitones int) float64 { return tuning * math.Pow(2, float64(semitones)/12) }
	beat := 60 / beats
	chords := [][]int{{0, 4, 7}, {5, 9, 12}, {7, 11, 14}, {9, 12, 16}, {2, 5, 9}, {4, 7, 11}}
	repeat := rng.IntN(2) == 0 // the same bar over and over
	chord := chords[0]
	for bar := 0; float64(bar)*4*beat < seconds; bar++ {
		if !repeat {
			chord = chords[rng.IntN(len(chords))]
		}
		at := float64(bar) * 4 * beat
		for _, c := range chord { // held chord
			note(at, 4*beat, hz(c-12), 0.04, 0, 6, false)
		}
		note(at, 4*beat, hz(chord[0]-24), 0.08, 0, 4, false)
		for k := range 8 { // arpeggio
			note(at+float64(k)*beat/2, beat/2, hz(chord[k%3]+12*(k/4)), 0.05, 0, 8, true)
		}
		for k := range 4 {
			drum(at+float64(k)*beat, beat/2, 0.3, true)
			drum(at+(float64(k)+0.5)*beat, 0.1, 0.1, false)
			if rng.IntN(2) == 0 { // tune
				note(at+float64(k)*beat, beat, hz(chord[rng.IntN(3)]+12), 0.1, 6, 10, false)
			}
		}
	}
	return x
}
