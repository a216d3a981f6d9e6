package grade

import (
	"math/rand/v2"

	"ionoscribe/demod"
	"ionoscribe/internal/theory"
	"ionoscribe/internal/traffic"
	"ionoscribe/rtty/modeb"
	"ionoscribe/samples"
)

// ModeBCase is what mode B is graded on.
type ModeBCase struct {
	Name  string
	Title string
	Path  samples.Path // before fading and noise
	// Times a NAVTEX message is sent, whose receptions are put together; 0: plain text is sent once.
	Times int
	// DoubtfulWrong counts characters as wrong whose confidence is below theory.DoubtfulBelow.
	DoubtfulWrong bool
}

// ModeBCases are those that have a name.
func ModeBCases() []ModeBCase {
	return []ModeBCase{
		{Name: "usual", Title: "plain text"},
		{Name: "crashes-30ms", Title: "crashes of 30 ms on 2 % of the time, 20 dB stronger than the signal in 2500 Hz", Path: crashes(0.03)},
		{Name: "carrier", Title: "a carrier 15 dB stronger, 300 Hz above the higher tone", Path: samples.Path{Interference: []samples.Interferer{{LevelDB: 15}}}},
		{Name: "three", Title: "a NAVTEX message that is sent three times, put together", Times: 3},
	}
}

// ModeB is the mode of a case.
func ModeB(c ModeBCase) TextMode {
	m := TextMode{
		Name: "navtex", Title: "mode B", SampleRate: samples.DefaultSampleRate,
		Message: traffic.Any, Send: c.send, Receive: c.receive,
		Theory: func(channel *samples.Channel) []theory.Curve {
			if channel != nil || c.Times > 0 {
				return nil
			}
			return theory.ModeBCurves()
		},
	}
	if c.Times > 0 {
		m.Receive = c.receiveMessage
		m.Message = rttyMessage // what else is sent has ZCZC and NNNN of its own
	}
	return m
}

// phasingSeconds are 16 pairs of phasing signals (ITU-R M.625, from memory).
const phasingSeconds = 16 * 2 * modeb.Units / modeb.Baud

// pauseSeconds are between the times that a message is sent.
const pauseSeconds = 8.0

func (c ModeBCase) send(message string, rng *rand.Rand) (TextSignal, error) {
	config := samples.ModeBConfig{Text: message, AlphaFirst: rng.IntN(2) == 0}
	config.CentreHz = samples.DefaultKeyedCentreHz + tuneHz*(2*rng.Float64()-1)
	config.Inverted = rng.IntN(2) == 0
	config.PhasingSeconds = phasingSeconds
	if c.Times > 0 {
		config.Text = "ZCZC EA14\n" + message + "\nNNNN\n"
	}
	path := c.Path
	path.Seed = rng.Uint64()
	if len(path.Interference) > 0 {
		carrier := path.Interference[0]
		carrier.Source = samples.CarrierAt(config.CentreHz + samples.DefaultShiftHz/2 + 300)
		path.Interference = []samples.Interferer{carrier}
	}
	var parts []demod.SampleReader
	signal := TextSignal{Start: phasingSeconds}
	for i := range max(c.Times, 1) {
		s, err := samples.NewModeB(config)
		if err != nil {
			return signal, err
		}
		if i > 0 {
			parts = append(parts, samples.Silence(s.SampleRate(), pauseSeconds))
		}
		parts = append(parts, s)
		signal.Power = s.Power()
	}
	src, err := samples.Concat(parts...)
	if err != nil {
		return signal, err
	}
	signal.Source, err = path.Through(src, signal.Power)
	return signal, err
}

// receive prints all text.
func (c ModeBCase) receive(src demod.SampleReader) (heard []HeardChar, err error) {
	rate := src.SampleRate()
	for ch, err := range modeb.All(src, modeb.Config{}) {
		if err != nil {
			return heard, err
		}
		if ch.Rune != 0 {
			heard = append(heard, c.heard(modeb.Letter{Rune: ch.Rune, Confidence: ch.Confidence}, float64(ch.At)/rate))
		}
	}
	return heard, nil
}

// receiveMessage is the message as it is known at the end.
func (c ModeBCase) receiveMessage(src demod.SampleReader) (heard []HeardChar, err error) {
	rate := src.SampleRate()
	messages := modeb.NewMessages(rate, func(m modeb.Message, _ modeb.News) {
		heard = heard[:0]
		for _, l := range m.Text {
			heard = append(heard, c.heard(l, float64(m.At)/rate))
		}
	})
	d, err := modeb.New(modeb.Config{SampleRate: rate}, modeb.Events{Char: func(ch modeb.Char) { messages.Take(ch.At, ch.Soft) }})
	if err != nil {
		return nil, err
	}
	err = demod.Drain(src, d)
	messages.Flush()
	return heard, err
}

func (c ModeBCase) heard(l modeb.Letter, at float64) HeardChar {
	if c.DoubtfulWrong && l.Confidence < theory.DoubtfulBelow {
		l.Rune = doubtful
	}
	return HeardChar{l.Rune, at, l.Confidence}
}

// doubtful is no character of the code.
const doubtful = '\ufffd'
