package rehearsal

import (
	"cmp"
	"slices"
	"time"

	"ionoscribe/demod"
	"ionoscribe/internal/mode"
	"ionoscribe/samples"
)

// practice is what the demonstration's receivers hear from now on between the broadcasts of the programme, in turns, so that there
// is always something to see. It is on no programme.
var practice = map[string]struct {
	every time.Duration // more than each of them lasts
	turns [][]show      // those of a turn are sent at once
}{
	"harbour": {6 * time.Minute, [][]show{
		{{mode: "fax", hz: 1900, snr: 21, chart: analysis}},
		{{mode: "fax", hz: 1900, snr: 12, chart: waves}},
	}},
	"ridge": {time.Minute, [][]show{
		{{mode: "rtty", hz: 1500, snr: 12, text: gale}, {mode: "cw", hz: 640, snr: 10, text: traffic9}},
		{{mode: "cw", hz: 820, snr: 12}, {mode: "rtty", hz: 2100, snr: 3}},
		{{mode: "rtty", hz: 1300, snr: 8, text: ice}, {mode: "cw", hz: 2250, snr: 4}},
	}},
}

// withPractice puts practice between the broadcasts of a receiver that are to come.
func (d Demo) withPractice(receiver string, all []broadcast) []broadcast {
	const soon = 15 * time.Second
	p := practice[receiver]
	planned := all
	for n := range int(demoDays * 24 * time.Hour / p.every) {
		at := d.Now.Add(soon + time.Duration(n)*p.every)
		busy := slices.ContainsFunc(planned, func(b broadcast) bool { // for a chart of five minutes, and what the survey waits for
			return at.Before(b.at.Add(p.every)) && at.Add(p.every).After(b.at)
		})
		if busy {
			continue
		}
		turn := p.turns[n%len(p.turns)]
		b := turn[0].broadcast(at, uint64(n))
		if len(turn) > 1 {
			first, second := b, turn[1].broadcast(at, uint64(n)+1)
			b.sound = func() (mode.Sound, error) { return together(first, second) }
		}
		all = append(all, b)
	}
	slices.SortStableFunc(all, func(a, b broadcast) int { return cmp.Compare(a.at.UnixNano(), b.at.UnixNano()) })
	return all
}

// together is the sound of two broadcasts at once.
func together(a, b broadcast) (mode.Sound, error) {
	x, err := a.sent()
	if err != nil {
		return nil, err
	}
	y, err := b.sent()
	if err != nil {
		return nil, err
	}
	long, err := samples.Concat(x, samples.Silence(rate, max(0, y.Duration()-x.Duration()))) // a mix ends with its first sound
	if err != nil {
		return nil, err
	}
	mix, err := samples.NewMix(long, y, samples.LevelGain(x.Power(), y.Power(), b.snr-a.snr))
	return both{mix, x.Power(), max(x.Duration(), y.Duration())}, err
}

// both is the sound of two broadcasts, with the power of the first.
type both struct {
	demod.SampleReader
	power, duration float64
}

func (b both) Power() float64    { return b.power }
func (b both) Duration() float64 { return b.duration }

// joined is a sound without its first seconds.
func joined(s mode.Sound, late float64) mode.Sound {
	return both{samples.NewSkip(s, late), s.Power(), s.Duration() - late}
}
