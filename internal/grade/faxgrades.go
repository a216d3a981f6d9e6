package grade

import (
	"context"
	"errors"
	"image"
	"math/rand/v2"

	"ionoscribe/internal/scenario"
	"ionoscribe/internal/trials"
	"ionoscribe/samples"
)

// FaxGrades is a plan of trials that order nothing: for each picture and SNR, some with random clock and tuning
// error. All fields but Channel, Video, Read and Recording are required.
type FaxGrades struct {
	SNRs      []float64        // dB in 2500 Hz
	Channel   *samples.Channel // nil: white noise alone
	Video     samples.VideoFilter
	Lines     int        // of the pictures
	Trials    int        // of each picture at each SNR
	Seed      uint64     // of everything random
	Read      bool       // have the page of lettering read; see Misread
	Recording *Recording // nil: none
}

// Bounds of the errors of a trial.
const (
	worstClockPPM = 200.0
	worstTuningHz = 100.0
)

// enough is the share of its rows that a chart must hold; one with less was missed.
const enough = 0.9

// FaxGrade is what one trial reached.
type FaxGrade struct {
	Picture   string  `json:"picture"` // dense or lettering
	Channel   string  `json:"channel"`
	SNR       float64 `json:"snr_db"`
	Trial     int     `json:"trial"` // 1 to Trials
	Seed      uint64  `json:"seed"`
	ClockPPM  float64 `json:"clock_error_ppm"` // made
	TuningHz  float64 `json:"tuning_error_hz"`
	Recording string  `json:"recording"`

	Charts   int     `json:"charts"` // received; one was sent
	Missed   bool    `json:"missed"` // then all but the textbook's figures are zero
	Fidelity float64 `json:"fidelity_db"`
	Textbook float64 `json:"textbook_fidelity_db"`
	PSNR     float64 `json:"psnr_db"`
	SSIM     float64 `json:"ssim"`
	// ClockPixels and StartPixels are the errors that are left; see FaxResult.
	ClockPixels float64 `json:"clock_error_left_pixels"`
	StartPixels float64 `json:"line_start_error_pixels"`
	Strays      int     `json:"strokes_not_sent"`

	// Shares of misread characters, if the page was read.
	Misread         *float64 `json:"misread,omitempty"`
	TextbookMisread *float64 `json:"textbook_misread,omitempty"`
}

// faxPicture is a picture of the plan; text is what it says, if it is for reading.
type faxPicture struct {
	name  string
	image *image.Gray
	text  []string
}

// Run makes the trials on all cores and calls each with their grades, in order: by picture, SNR, trial. What it
// reports does not depend on the number of cores. It returns early if ctx is done.
func (p FaxGrades) Run(ctx context.Context, each func(FaxGrade)) error {
	page, text := scenario.Lettering(scenario.Width, p.Lines, int64(p.Seed))
	pictures := []faxPicture{
		{name: "dense", image: scenario.DenseChart(scenario.Width, p.Lines, int64(p.Seed))},
		{name: "lettering", image: page, text: text},
	}
	perPicture := len(p.SNRs) * p.Trials
	return trials.InOrder(ctx, len(pictures)*perPicture, func(ctx context.Context, i int) (FaxGrade, error) {
		return p.trial(ctx, pictures[i/perPicture], p.SNRs[i%perPicture/p.Trials], i%p.Trials+1)
	}, each)
}

// trial makes one trial. Its seed follows from its picture, channel, SNR and number alone, so that a plan of other
// SNRs or of more trials repeats it.
func (p FaxGrades) trial(ctx context.Context, picture faxPicture, snr float64, number int) (FaxGrade, error) {
	g := FaxGrade{Picture: picture.name, Channel: channelName(p.Channel), SNR: snr, Trial: number, Recording: p.Recording.String()}
	g.Seed = trialSeed(p.Seed, picture.name, p.Channel, snr, number)
	rng := rand.New(rand.NewPCG(g.Seed, 0x66617867))
	g.ClockPPM = worstClockPPM * (2*rng.Float64() - 1)
	g.TuningHz = worstTuningHz * (2*rng.Float64() - 1)
	t := FaxTrial{
		Transmission: samples.FaxConfig{CentreHz: samples.DefaultCentreHz + g.TuningHz, Video: p.Video},
		SNR:          snr, ClockPPM: g.ClockPPM, Seed: g.Seed, Recording: p.Recording,
	}
	if p.Channel != nil {
		fading := p.Channel.Fading(g.Seed)
		t.Fading = &fading
	}
	r, err := t.Run(picture.image)
	g.Missed = errors.Is(err, ErrMissed)
	if err != nil && !g.Missed {
		return g, err
	}
	g.Textbook, g.Charts = r.Textbook, len(r.Charts)
	g.Missed = g.Missed || float64(r.Rows) < enough*float64(r.Sent.Rect.Dy())
	if !g.Missed {
		g.Fidelity, g.PSNR, g.SSIM, g.ClockPixels, g.StartPixels = r.Fidelity, r.PSNR, r.SSIM, r.ClockPixels, r.StartPixels
		g.Strays = Strays(r.Sent, r.Chart.Image, r.DX, r.DY)
	}
	if !p.Read || picture.text == nil {
		return g, nil
	}
	read := func(m *image.Gray) *float64 {
		if err != nil {
			return nil
		}
		var share float64
		share, err = Misread(ctx, m, picture.text)
		return &share
	}
	err = nil
	g.TextbookMisread = read(r.Book)
	if !g.Missed {
		g.Misread = read(r.Chart.Image)
	}
	return g, err
}
