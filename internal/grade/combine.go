package grade

import (
	"context"
	"errors"
	"fmt"
	"image"
	"math/rand/v2"

	"ionoscribe/fax"
	"ionoscribe/fax/draw"
	"ionoscribe/internal/scenario"
	"ionoscribe/internal/trials"
	"ionoscribe/samples"
)

// CombineGrades is a plan of trials: each sends a chart to two receivers whose noise, fading, clocks and tuning are independent,
// combines what they drew, and tries to combine the first with another chart.
type CombineGrades struct {
	SNRs    []float64        // dB in 2500 Hz
	Channel *samples.Channel // nil: white noise alone
	Lines   int              // of the charts
	Trials  int              // at each SNR
	Seed    uint64
}

// SteadyGain and FadingGain are by how many dB the single copy is stronger with which two are compared: of two equal ones with
// independent noise the likelihoods add up to 3 dB at most; through fading two make good much more.
const (
	SteadyGain, FadingGain = 2.7, 6.0
	weakerDB               = 10.0 // of the copy that must do no harm
)

// CombineGrade is what one trial reached. Fidelities are in dB, of what is of use for: one copy, both, one that is stronger by Gain dB,
// and the first with a second that is 10 dB weaker.
type CombineGrade struct {
	Channel  string   `json:"channel"`
	SNR      float64  `json:"snr_db"`
	Trial    int      `json:"trial"`
	Seed     uint64   `json:"seed"`
	Gain     float64  `json:"gain_db"`
	Missed   bool     `json:"missed"` // a copy was not received; then there is nothing else
	One      float64  `json:"one_fidelity_db"`
	Both     *float64 `json:"both_fidelity_db"` // nil: taken for two charts
	Stronger float64  `json:"stronger_fidelity_db"`
	Weaker   *float64 `json:"with_weaker_fidelity_db"` // nil: not received, or taken for another chart
	Wrong    bool     `json:"other_chart_joined"`
}

// Run makes the trials on all cores and calls each with their grades, in order of SNR and trial.
func (p CombineGrades) Run(ctx context.Context, each func(CombineGrade)) error {
	return trials.InOrder(ctx, len(p.SNRs)*p.Trials, func(ctx context.Context, i int) (CombineGrade, error) {
		return p.trial(ctx, p.SNRs[i/p.Trials], i%p.Trials+1)
	}, each)
}

func (p CombineGrades) trial(ctx context.Context, snr float64, number int) (CombineGrade, error) {
	g := CombineGrade{Channel: channelName(p.Channel), SNR: snr, Trial: number, Gain: SteadyGain}
	if p.Channel != nil {
		g.Gain = FadingGain
	}
	g.Seed = trialSeed(p.Seed, "combine", p.Channel, snr, number)
	rng := rand.New(rand.NewPCG(g.Seed, 0x636f6d62))
	picture := scenario.DenseChart(scenario.Width, p.Lines, int64(g.Seed>>1))
	another := scenario.DenseChart(scenario.Width, p.Lines, int64(g.Seed>>1)+1)
	var failed error
	receive := func(m *image.Gray, snr float64) *fax.Chart {
		c, err := p.receive(rng, m, snr)
		if err != nil && failed == nil && !errors.Is(err, ErrMissed) {
			failed = err
		}
		return c
	}
	one, two, stronger := receive(picture, snr), receive(picture, snr), receive(picture, snr+g.Gain)
	weaker, other := receive(picture, snr-weakerDB), receive(another, snr)
	if failed != nil {
		return g, failed
	}
	if g.Missed = one == nil || two == nil || stronger == nil; g.Missed {
		return g, nil
	}
	fidelity := func(m *image.Gray) float64 {
		db, _, _ := Fidelity(picture, m, 6)
		return db
	}
	combined := func(c *fax.Chart) *float64 {
		if c == nil || failed != nil {
			return nil
		}
		both, err := draw.Combine(ctx, []draw.Copy{{Video: one.Video, Drawing: one.Drawing}, {Video: c.Video, Drawing: c.Drawing}})
		if err != nil {
			if !errors.Is(err, draw.ErrOther) {
				failed = err
			}
			return nil
		}
		db := fidelity(both.Image)
		return &db
	}
	g.One, g.Stronger = fidelity(one.Image), fidelity(stronger.Image)
	g.Both, g.Weaker = combined(two), combined(weaker)
	if other != nil {
		matcher, err := draw.NewMatcher(ctx, one.Video, one.Drawing)
		if err != nil {
			return g, err
		}
		_, err = matcher.Match(ctx, other.Video, other.Drawing)
		g.Wrong = err == nil
	}
	return g, failed
}

// receive is a chart as one receiver has it; ErrMissed if it is not all of it.
func (p CombineGrades) receive(rng *rand.Rand, picture *image.Gray, snr float64) (*fax.Chart, error) {
	t := FaxTrial{
		Transmission: samples.FaxConfig{CentreHz: samples.DefaultCentreHz + worstTuningHz*(2*rng.Float64()-1)},
		SNR:          snr, ClockPPM: worstClockPPM * (2*rng.Float64() - 1), Seed: rng.Uint64(),
	}
	if p.Channel != nil {
		fading := p.Channel.Fading(rng.Uint64())
		t.Fading = &fading
	}
	r, err := t.RunLines(picture)
	if err != nil {
		return nil, err
	}
	if float64(r.Rows) < enough*float64(picture.Rect.Dy()) {
		return nil, ErrMissed
	}
	return r.Chart, nil
}

// CombineRow sums up the grades at one SNR: a line of the table.
type CombineRow []CombineGrade

// CombineHeader is above CombineRows.
const CombineHeader = `  SNR   one copy    two   one stronger   with a weaker   not joined   others joined   missed
   dB         dB     dB             dB      one more, dB`

// String is the line of the table: means over the trials in which both copies were received; the weaker one's by what it adds.
func (r CombineRow) String() string {
	var n, both, one, two, stronger, weak, more float64
	missed, wrong := 0, 0
	for _, g := range r {
		if g.Missed {
			missed++
			continue
		}
		n++
		one += g.One
		stronger += g.Stronger
		if g.Both != nil {
			both++
			two += *g.Both
		}
		if g.Weaker != nil {
			weak++
			more += *g.Weaker - g.One
		}
		if g.Wrong {
			wrong++
		}
	}
	mean := func(sum, n float64) string {
		if n == 0 {
			return "-"
		}
		return fmt.Sprintf("%.2f", sum/n)
	}
	return fmt.Sprintf("%5g %10s %6s %14s %15s %12.0f %15d %8d", r[0].SNR, mean(one, n), mean(two, both), mean(stronger, n), mean(more, weak), n-both, wrong, missed)
}
