package cw

import (
	"math"

	"ionoscribe/cw"
	"ionoscribe/internal/mode"
)

const (
	// cutHz is where a candidate is in a cut.
	cutHz = 1000.0
	// fastestWPM is that of what is taken for Morse: one tone of a teleprinter of 45 Bd is like Morse of 54 words a minute.
	fastestWPM = 45.0
)

// judge has a decoder for each rate and order, made when it is needed first.
type judge map[order]*judging

// order is a speed that is ordered, for that is quicker, or none.
type order struct{ rate, wpm float64 }

// speeds are the orders in words a minute; a decoder follows within a quarter.
var speeds = []float64{10, 13, 17, 22, 29, 38}

// judging is a decoder and what it told.
type judging struct {
	*cw.Decoder
	state cw.State
	chars int
	sure  float64
}

// Work, measured, in microseconds: of judging a second, and of a step of searching.
const (
	secondWork = 500.0
	stepWork   = 0.9
)

// mostSteps of searching a judge may take in vain. Of what was Morse in scenes like those of grade survey one in fifty took more.
const mostSteps = 50e3

func (j judge) Judge(audio []float32, rate float64, guess mode.Settings) mode.Verdict {
	o := order{rate: rate}
	if s, ok := guess.(cw.Settings); ok {
		for _, v := range speeds {
			if s.WPM > 0.86*v && s.WPM < 1.16*v {
				o.wpm = v
			}
		}
	}
	r := j[o]
	if r == nil {
		r = newJudging(o)
		j[o] = r
	}
	r.state, r.chars, r.sure = cw.State{}, 0, 0
	before := r.Searched()
	r.Write(audio)
	r.Flush()
	sure := r.sure / float64(max(1, r.chars))
	return mode.Verdict{
		Is: r.state.Receiving && r.state.WPM <= fastestWPM, Settings: r.state.Settings(), Hz: r.state.PitchHz, SNR: r.state.SNR, Characters: r.chars, Sure: sure,
		Confidence: min(0.4+0.6*sure, 0.99),
		Work:       secondWork*float64(len(audio))/rate + stepWork*(r.Searched()-before),
	}
}

func newJudging(o order) *judging {
	r := new(judging)
	d, err := cw.New(cw.Config{SampleRate: o.rate, PitchHz: cutHz, WPM: o.wpm}, cw.Events{
		State: func(s cw.State) {
			if s.Receiving {
				r.state = s
			}
		},
		Char: func(c cw.Char) {
			if c.Pattern == 0 { // a gap
				return
			}
			r.chars++
			r.sure += c.Confidence
		},
	})
	if err != nil {
		panic("cw: " + err.Error()) // the configuration is ours
	}
	d.LimitSearch(mostSteps)
	r.Decoder = d
	return r
}

// fit is by how much lengths of marks and gaps, in cells, stray from those of Morse at the speed that fits best.
func fit(marks, gaps []float64) (stray float64, best mode.Settings) {
	most, speed := math.Inf(1), 0.0
	for dot := 4.5; dot < 32; dot *= 1.05 { // 53 to 7.5 words a minute
		for bias := -2.0; bias <= 2; bias++ { // by which marks are longer, and gaps shorter
			sum := 0.0
			for _, m := range marks {
				l := math.Log(max(m-bias, 1) / dot)
				sum += least(l, l-ln3)
			}
			for _, g := range gaps {
				l := math.Log(max(g+bias, 1) / dot)
				if l > ln7 { // pauses are as long as they like
					l = ln7
				}
				sum += least(l, least2(l-ln3, l-ln7))
			}
			if sum < most {
				most, speed = sum, dot
			}
		}
	}
	return math.Sqrt(most / float64(len(marks)+len(gaps))), cw.Settings{WPM: cw.WPM(speed * mode.CellSeconds)}
}

const ln3, ln7 = 1.0986, 1.9459

// least is the square of the smaller of two, each at most half a unit.
func least(a, b float64) float64 {
	d := least2(a, b)
	return min(d*d, 0.25)
}

func least2(a, b float64) float64 {
	if math.Abs(b) < math.Abs(a) {
		return b
	}
	return a
}
