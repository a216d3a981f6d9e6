package grade

import (
	"errors"
	"image"
	"math"

	"ionoscribe/demod"
	"ionoscribe/fax"
	"ionoscribe/samples"
)

// FaxTrial is one transmission through a simulated path. Its zero fields are the usual ones.
type FaxTrial struct {
	Transmission samples.FaxConfig
	PassHz       [2]float64            // of a band-pass in the transmitter; zero leaves that side open
	Fading       *samples.FadingConfig // nil: the signal is steady
	Others       []samples.Interferer  // heard with it
	SNR          float64               // dB in 2500 Hz
	ClockPPM     float64               // of the receiver's sample clock
	SkipSeconds  float64               // join late
	Recording    *Recording            // nil: none
	Seed         uint64
	Order        fax.Config // orders to the decoder; the sample rate is set
}

// FaxResult is what became of it.
type FaxResult struct {
	Charts []*fax.Chart
	Chart  *fax.Chart  // the one that holds most of the picture; what follows is of it
	Sent   *image.Gray // the rows that it can hold
	Book   *image.Gray // what the textbook receiver makes of the same audio

	Fidelity, Textbook float64 // dB, of the chart and of the textbook receiver
	PSNR               float64 // dB
	SSIM               float64
	DX, DY             int // by how many pixels the chart is shifted to the right and down
	Rows               int // of Sent that the chart holds
	// ClockPixels is how far the clock error that is left slants the chart from its first row to its last,
	// StartPixels how far it has its lines begin late in its middle row.
	ClockPixels, StartPixels float64
}

// ErrMissed says that a trial's chart was not received.
var ErrMissed = errors.New("no chart received")

// Source makes the audio of the trial.
func (t FaxTrial) Source() (src demod.SampleReader, sent *samples.Fax, err error) {
	sent, err = samples.NewFax(t.Transmission)
	if err != nil {
		return nil, nil, err
	}
	src = sent
	if t.PassHz != [2]float64{} {
		if src, err = samples.NewBandpass(src, t.PassHz[0], t.PassHz[1]); err != nil {
			return nil, nil, err
		}
	}
	if t.Fading != nil {
		if src, err = samples.NewFading(src, *t.Fading); err != nil {
			return nil, nil, err
		}
	}
	if src, err = (samples.Path{Interference: t.Others, Seed: t.Seed}).Through(src, sent.Power()); err != nil {
		return nil, nil, err
	}
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
	src, err = t.Recording.Through(src)
	return src, sent, err
}

// Run sends and receives. picture is that of the transmission; it must be as wide as the line. If no chart is
// received, the error is ErrMissed and the result holds the rest.
func (t FaxTrial) Run(picture *image.Gray) (*FaxResult, error) {
	r, book, x, err := t.receive(picture)
	if err != nil && !errors.Is(err, ErrMissed) {
		return nil, err
	}
	first := picture.Rect.Dy() - book.Rows
	r.Sent = picture.SubImage(image.Rect(0, first, picture.Rect.Dx(), picture.Rect.Dy())).(*image.Gray)
	r.Book = book.Draw(x)
	r.Textbook = fidelityAt(r.Sent, r.Book, 0, 0)
	if err != nil {
		return r, err
	}
	// A chart that begins with some lines of phasing is whole all the same.
	early := int(math.Round((book.Start - float64(r.Chart.Start)) / book.Period))
	r.Fidelity, r.DX, r.DY = fidelityNear(r.Sent, r.Chart.Image, early, 3)
	r.PSNR = PSNR(r.Sent, r.Chart.Image, r.DX, r.DY)
	r.SSIM = SSIM(r.Sent, r.Chart.Image, r.DX, r.DY)
	return r, nil
}

// RunLines is Run without the judgement of the picture: charts, clock and line start alone, in half of the time.
func (t FaxTrial) RunLines(picture *image.Gray) (*FaxResult, error) {
	r, _, _, err := t.receive(picture)
	return r, err
}

// receive sends and receives, and measures the lines. It also returns the textbook receiver and its audio.
func (t FaxTrial) receive(picture *image.Gray) (r *FaxResult, book Textbook, x []float32, err error) {
	t.Transmission.Picture = picture
	src, sent, err := t.Source()
	if err != nil {
		return nil, book, nil, err
	}
	if x, err = samples.ReadAll(src); err != nil {
		return nil, book, nil, err
	}
	r = &FaxResult{}
	t.Order.SampleRate = src.SampleRate()
	d, err := fax.New(t.Order, fax.Events{Chart: func(c *fax.Chart) { r.Charts = append(r.Charts, c) }})
	if err != nil {
		return nil, book, nil, err
	}
	d.Write(x)
	d.Flush()

	book = t.textbook(src.SampleRate(), sent)
	for _, c := range r.Charts {
		if n := rowsHeld(book, c); n > r.Rows {
			r.Chart, r.Rows = c, n
		}
	}
	if r.Chart == nil {
		return r, book, x, ErrMissed
	}
	samples := book.SampleRate / fax.VideoRate
	r.ClockPixels = (r.Chart.Period*samples/book.Period - 1) * float64(book.Rows*book.Columns)
	middle := (r.Chart.Origin + float64(r.Chart.Rows/2)*r.Chart.Period) * samples
	late := (middle - book.Start) / book.Period
	r.StartPixels = (late - math.Round(late)) * float64(book.Columns)
	return r, book, x, nil
}

// textbook is the textbook receiver for the trial's audio, which knows all that there is to know of it.
func (t FaxTrial) textbook(rate float64, sent *samples.Fax) Textbook {
	usual := func(v, usual float64) float64 {
		if v == 0 {
			return usual
		}
		return v
	}
	tx := t.Transmission
	skew := 1 + t.ClockPPM*1e-6 // samples of the receiver to one of the sender
	b := Textbook{
		SampleRate:  rate,
		CentreHz:    usual(tx.CentreHz, samples.DefaultCentreHz) / skew,
		DeviationHz: usual(tx.DeviationHz, samples.DefaultDeviationHz) / skew,
		Start:       sent.PictureStart()*rate*skew - math.Round(t.SkipSeconds*rate),
		Period:      60 / usual(tx.LPM, samples.DefaultLPM) * rate * skew,
		Columns:     tx.Picture.Bounds().Dx(),
		Rows:        sent.Lines(),
	}
	if tx.Inverted {
		b.DeviationHz = -b.DeviationHz
	}
	for b.Start < 0 && b.Rows > 0 { // joined late
		b.Start += b.Period
		b.Rows--
	}
	return b
}

// rowsHeld is how many rows of the picture lie between the beginning and the end of a chart.
func rowsHeld(b Textbook, c *fax.Chart) int {
	row := func(at int64) int { return int(math.Round((float64(at) - b.Start) / b.Period)) }
	return max(0, min(row(c.End), b.Rows)-max(row(c.Start), 0))
}
