package survey

import (
	"math"

	"ionoscribe/cw"
	"ionoscribe/fax"
	"ionoscribe/rtty"
)

// judges are the decoders, which say whether a candidate is what it is supposed to be. They are made when they are needed
// first and kept: one for each rate of cuts, of which there are one or few.
type judges struct {
	rtty map[rttyOrder]*rttyJudge
	cw   map[cwOrder]*cwJudge
	fax  map[float64]*faxJudge

	work float64 // that was done, see budget
}

func newJudges() judges {
	return judges{rtty: map[rttyOrder]*rttyJudge{}, cw: map[cwOrder]*cwJudge{}, fax: map[float64]*faxJudge{}}
}

// Where candidates are in a cut.
const (
	rttyAudioHz = 1700.0
	cwAudioHz   = 1000.0
	faxAudioHz  = fax.CentreHz
)

// rttyOrder is a shift that is ordered, lest a sideband be taken for a tone, or none. A decoder takes an order within a
// fifth.
type rttyOrder struct{ rate, shift float64 }

const (
	leastOrderHz = 60.0
	orderStep    = 1.2 // from order to order
)

type rttyJudge struct {
	*rtty.Decoder
	state rtty.State
	chars int
	sure  float64
}

// teleprinter is what the decoder makes of a cut.
func (j *judges) teleprinter(audio []float32, rate, shift float64) (s rtty.State, chars int, sure float64) {
	order := rttyOrder{rate: rate}
	if shift != 0 {
		n := math.Round(math.Log(shift/leastOrderHz) / math.Log(orderStep))
		order.shift = min(max(leastOrderHz*math.Pow(orderStep, n), rtty.LeastShiftHz), rtty.MostShiftHz)
	}
	r := j.rtty[order]
	if r == nil {
		r = new(rttyJudge)
		d, err := rtty.New(rtty.Config{SampleRate: rate, CentreHz: rttyAudioHz, ShiftHz: order.shift}, rtty.Events{
			State: func(s rtty.State) {
				if s.Receiving {
					r.state = s
				}
			},
			Char: func(c rtty.Char) {
				r.chars++
				r.sure += c.Confidence
			},
		})
		if err != nil {
			panic("survey: " + err.Error()) // the configuration is ours
		}
		r.Decoder = d
		j.rtty[order] = r
	}
	r.state, r.chars, r.sure = rtty.State{}, 0, 0
	before := r.Searched()
	r.Write(audio)
	r.Flush()
	j.work += teleprinterWork*float64(len(audio))/rate + teleprinterSearch*(r.Searched()-before)
	return r.state, r.chars, r.sure / float64(max(1, r.chars))
}

// cwOrder is a speed that is ordered, for that is quicker, or none.
type cwOrder struct{ rate, wpm float64 }

// cwSpeeds are the orders in words a minute; a decoder follows within a quarter.
var cwSpeeds = []float64{10, 13, 17, 22, 29, 38}

type cwJudge struct {
	*cw.Decoder
	state cw.State
	chars int
	sure  float64
}

// morse is the same for Morse.
func (j *judges) morse(audio []float32, rate, wpm float64) (s cw.State, chars int, sure float64) {
	order := cwOrder{rate: rate}
	for _, v := range cwSpeeds {
		if wpm > 0.86*v && wpm < 1.16*v {
			order.wpm = v
		}
	}
	r := j.cw[order]
	if r == nil {
		r = new(cwJudge)
		d, err := cw.New(cw.Config{SampleRate: rate, PitchHz: cwAudioHz, WPM: order.wpm}, cw.Events{
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
			panic("survey: " + err.Error())
		}
		d.LimitSearch(mostSteps)
		r.Decoder = d
		j.cw[order] = r
	}
	r.state, r.chars, r.sure = cw.State{}, 0, 0
	before := r.Searched()
	r.Write(audio)
	r.Flush()
	j.work += morseWork*float64(len(audio))/rate + morseSearch*(r.Searched()-before)
	return r.state, r.chars, r.sure / float64(max(1, r.chars))
}

type faxJudge struct {
	*fax.Decoder
	state fax.State
}

// chart is the same for a fax.
func (j *judges) chart(audio []float32, rate float64) fax.State {
	r := j.fax[rate]
	if r == nil {
		r = new(faxJudge)
		d, err := fax.New(fax.Config{SampleRate: rate}, fax.Events{State: func(s fax.State) {
			if s.Receiving {
				r.state = s
			}
		}})
		if err != nil {
			panic("survey: " + err.Error())
		}
		r.Decoder = d
		j.fax[rate] = r
	}
	r.state = fax.State{}
	before := r.Searched()
	r.Write(audio)
	r.Flush()
	j.work += chartWork*float64(len(audio))/rate + chartSearchWork*float64(r.Searched()-before)
	return r.state
}
