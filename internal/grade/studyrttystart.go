package grade

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"

	"ionoscribe/internal/traffic"
	"ionoscribe/samples"
)

// rttyStartStudy asks whether a message is printed from its first character on, whatever is heard beside it.
var rttyStartStudy = Study{
	Name:   "rtty-start",
	Title:  "carriers, Morse, speech or static beside the signal: the first character right, none before it",
	Unit:   "lost",
	Trials: 500,
	Trial: func(_ context.Context, seed uint64) (StudyTrial, error) {
		rng := rand.New(rand.NewPCG(seed, 0x7374617274))
		s := newRTTYSender(rng, startKinds)
		s.snr = []float64{0, 3, 6, 10, 20}[rng.IntN(5)]
		if s.config.Baud > 80 {
			s.snr += 3
		}
		name, path := beside(rng, s.config)
		return s.judgeStart(name, path)
	},
}

// rttyIdleStartStudy asks for characters that no one sent before a message, whose sender idles first.
var rttyIdleStartStudy = Study{
	Name:   "rtty-idle-start",
	Title:  "2 to 15 s of steady mark before a message, 10 to 30 dB, through fading: no character before the first",
	Unit:   "before",
	Trials: 500,
	Trial: func(_ context.Context, seed uint64) (StudyTrial, error) {
		rng := rand.New(rand.NewPCG(seed, 0x69646c65))
		s := newRTTYSender(rng, startKinds)
		s.config.LeadSeconds, s.config.Diddle = 2+13*rng.Float64(), false
		s.snr = []float64{10, 15, 20, 30}[rng.IntN(4)]
		name := []string{NoChannel, "low-moderate", "mid-quiet", "mid-moderate", "mid-disturbed"}[rng.IntN(5)]
		path := samples.Path{}
		if name != NoChannel {
			c, err := samples.FindChannel(name)
			if err != nil {
				return StudyTrial{}, err
			}
			fading := c.Fading(0)
			path.Fading = &fading
		}
		g, err := s.hear(path, nil)
		t := StudyTrial{Case: name, Right: g.before == 0, Sure: sureOf(g.Calibration), Figure: float64(g.before), Note: s.String()}
		if !t.Right {
			t.Note += fmt.Sprintf(": sent %.60q, printed %.60q", s.config.Text, g.printed)
		}
		return t, err
	},
}

var startKinds = []traffic.Kind{traffic.Fox, traffic.Calls, traffic.Groups, traffic.Synop, traffic.Ship, traffic.Bulletin, traffic.Mixed}

// beside puts something beside a signal: a carrier or Morse up to 15 dB stronger, 250 Hz away at least, or speech or
// static.
func beside(rng *rand.Rand, c samples.RTTYConfig) (name string, path samples.Path) {
	level := 15 * rng.Float64()
	away := c.ShiftHz/2 + 250 + 400*rng.Float64()
	hz := c.CentreHz + away
	if rng.IntN(2) == 0 {
		hz = c.CentreHz - away
	}
	switch rng.IntN(5) {
	case 0:
		path.Interference = []samples.Interferer{{Source: samples.CarrierAt(hz), LevelDB: level}}
		return "carrier", path
	case 1:
		path.Interference = []samples.Interferer{{Source: samples.MorseAt(hz), LevelDB: level}}
		return "Morse", path
	case 2:
		path.Interference = []samples.Interferer{{Source: samples.SomeSpeech, LevelDB: level - 10}}
		return "speech", path
	case 3:
		crashes := samples.CrashConfig{NoiseConfig: samples.NoiseConfig{SNRdB: -20}, Seconds: 0.005, Share: 0.02}
		path.Crashes = &crashes
		return "static", path
	}
	return "nothing", path
}

// judgeStart receives a sender through a path. What was lost is counted up to where the printed text first agrees with
// that sent for five characters.
func (s rttySender) judgeStart(name string, path samples.Path) (StudyTrial, error) {
	g, err := s.hear(path, nil)
	if err != nil {
		return StudyTrial{}, err
	}
	t := StudyTrial{Case: name, Sure: sureOf(g.Calibration)}
	lost, before := len(s.config.Text), len(g.printed)
	for at := 0; at+agreed <= len(s.config.Text); at++ {
		if i := strings.Index(g.printed, s.config.Text[at:at+agreed]); i >= 0 {
			lost, before = at, i
			break
		}
	}
	t.Figure = float64(lost)
	t.Right = strings.HasPrefix(g.printed, s.config.Text[:1]) && math.Abs(float64(before-lost)) < 1 && lost < 10
	t.Note = s.String()
	if !t.Right {
		t.Note += fmt.Sprintf(": sent %.60q, printed %.60q", s.config.Text, g.printed)
	}
	return t, nil
}

const agreed = 5 // characters
