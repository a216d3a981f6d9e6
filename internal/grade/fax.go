package grade

import (
	"fmt"
	"image"

	"ionoscribe/demod"
	"ionoscribe/fax"
	"ionoscribe/samples"
)

// FaxTrial is one transmission through a simulated path. Its zero fields are the usual ones.
type FaxTrial struct {
	Transmission samples.FaxConfig
	SNR          float64 // dB in 2500 Hz
	ClockPPM     float64 // of the receiver's sample clock
	SkipSeconds  float64 // join late
	Seed         uint64
	Order        fax.Config // orders to the decoder; the sample rate is set
}

// FaxResult is what became of it.
type FaxResult struct {
	Charts   []*fax.Chart
	Sent     *image.Gray // the rows that the first chart can hold
	Fidelity float64     // dB, of the first chart
	Textbook float64     // dB, of the textbook receiver on the same audio
	DX, DY   int         // by how much the chart is shifted
}

// Source makes the audio of the trial.
func (t FaxTrial) Source() (src demod.SampleReader, sent *samples.Fax, err error) {
	sent, err = samples.NewFax(t.Transmission)
	if err != nil {
		return nil, nil, err
	}
	src = sent
	if t.ClockPPM != 0 {
		if src, err = samples.NewClockError(src, t.ClockPPM); err != nil {
			return nil, nil, err
		}
	}
	if src, err = samples.NewNoise(src, samples.NoiseConfig{SNRdB: t.SNR, SignalPower: sent.Power(), Seed: t.Seed}); err != nil {
		return nil, nil, err
	}
	if t.SkipSeconds > 0 {
		src = samples.NewSkip(src, t.SkipSeconds)
	}
	return src, sent, nil
}

// Run sends and receives. picture is that of the transmission; it must be as wide as the line.
func (t FaxTrial) Run(picture *image.Gray) (*FaxResult, error) {
	t.Transmission.Picture = picture
	src, sent, err := t.Source()
	if err != nil {
		return nil, err
	}
	x, err := samples.ReadAll(src)
	if err != nil {
		return nil, err
	}
	r := &FaxResult{}
	t.Order.SampleRate = src.SampleRate()
	d, err := fax.New(t.Order, fax.Events{Chart: func(c *fax.Chart) { r.Charts = append(r.Charts, c) }})
	if err != nil {
		return nil, err
	}
	d.Write(x)
	d.Flush()

	rate := src.SampleRate()
	lpm, centre, deviation := t.Transmission.LPM, t.Transmission.CentreHz, t.Transmission.DeviationHz
	if lpm == 0 {
		lpm = 120
	}
	if centre == 0 {
		centre = fax.CentreHz
	}
	if deviation == 0 {
		deviation = fax.DeviationHz
	}
	if t.Transmission.Inverted {
		deviation = -deviation
	}
	skew := 1 + t.ClockPPM*1e-6
	period := 60 / lpm * rate * skew
	start := sent.PictureStart()*rate*skew - float64(int(t.SkipSeconds*rate))
	rows, first := sent.Lines(), 0
	for start < 0 { // joined late
		start += period
		first++
	}
	rows -= first
	r.Sent = picture.SubImage(image.Rect(0, first, picture.Rect.Dx(), first+rows)).(*image.Gray)
	book := Textbook{rate, centre / skew, deviation, start, period, picture.Rect.Dx(), rows}.Draw(x)
	r.Textbook = fidelityAt(r.Sent, book, 0, 0)
	if len(r.Charts) == 0 {
		return r, fmt.Errorf("no chart received")
	}
	r.Fidelity, r.DX, r.DY = Fidelity(r.Sent, r.Charts[0].Image, 3)
	return r, nil
}
