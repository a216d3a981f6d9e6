package grade

import (
	"context"
	"errors"
	"fmt"
	"math/rand/v2"

	"ionoscribe/samples"
)

// faxNeighbourStudy asks what another signal costs that is heard beside a chart or in it.
var faxNeighbourStudy = Study{
	Name:   "fax-neighbour",
	Title:  "charts with another signal, outside the picture's band up to 10 dB stronger or inside it 10 dB weaker: fidelity lost by it, at most 0.5 dB outside and 2 dB inside",
	Unit:   "dB",
	Trials: 200,
	Trial:  faxNeighbourTrial,
}

// Places of neighbours, Hz from the middle of the fax's band. The first sidebands of strokes of two pixels, as most
// are, lie within 1000 Hz.
const (
	outsideFromHz, outsideToHz = 1000, 1400
	insideHz                   = 600
)

func faxNeighbourTrial(_ context.Context, seed uint64) (StudyTrial, error) {
	rng := rand.New(rand.NewPCG(seed, 0x6e656967))
	picture := someChart(rng)
	t := someTransmission(rng)
	t.SNR = 10 + 15*rng.Float64()
	path := "white noise"
	if rng.IntN(2) == 0 {
		channel, err := samples.FindChannel("mid-moderate")
		if err != nil {
			return StudyTrial{}, err
		}
		fading := channel.Fading(rng.Uint64())
		t.Fading, path = &fading, channel.Name
	}
	kind, allowed := "", 0.5
	var other samples.Interferer
	hz := outsideFromHz + (outsideToHz-outsideFromHz)*rng.Float64()
	if rng.IntN(2) == 0 {
		hz = -hz
	}
	other.LevelDB = -10 + 20*rng.Float64()
	switch rng.IntN(6) {
	case 0:
		kind, other.Source = "Morse outside", samples.MorseAt(samples.DefaultCentreHz+hz)
	case 1:
		kind, other.Source = "teleprinter outside", samples.TeleprinterAt(samples.DefaultCentreHz+hz)
	case 2:
		kind, other.Source = "carrier outside", samples.CarrierAt(samples.DefaultCentreHz+hz)
	case 3: // speech has most of its power below 1 kHz: moved up, it begins where the picture ends
		kind, other.Source, other.OffsetHz = "speech outside", samples.SomeSpeech, samples.DefaultCentreHz+outsideFromHz
	case 4:
		kind, other.Source = "Morse inside", samples.MorseAt(samples.DefaultCentreHz+insideHz*(2*rng.Float64()-1))
		other.LevelDB, allowed = -10, 2
	case 5:
		kind, other.Source = "carrier inside", samples.CarrierAt(samples.DefaultCentreHz+insideHz*(2*rng.Float64()-1))
		other.LevelDB, allowed = -10, 2
	}
	st := StudyTrial{Case: kind + ", " + path, Sure: true}
	alone, err := t.Run(picture)
	if err != nil {
		return st, err
	}
	t.Others = []samples.Interferer{other}
	r, err := t.Run(picture)
	if errors.Is(err, ErrMissed) {
		st.Figure, st.Note = alone.Fidelity, "missed"
		return st, nil
	}
	if err != nil {
		return st, err
	}
	st.Figure = max(alone.Fidelity-r.Fidelity, 0)
	st.Right = st.Figure <= allowed
	st.Note = fmt.Sprintf("%.1f dB SNR, neighbour %.0f Hz away, %.1f dB; fidelity %.1f dB, alone %.1f dB, ended by %v",
		t.SNR, hz, other.LevelDB, r.Fidelity, alone.Fidelity, r.Chart.Ended)
	return st, nil
}
