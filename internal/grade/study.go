package grade

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"ionoscribe/internal/trials"
)

// Study is a seeded study of one class of signals: what others send, and what the decoders are to make of it. Each
// is a file of its own, study….go.
type Study struct {
	Name   string // of the command: fax-lean
	Title  string // what is sent, and what counts as right, in a sentence
	Unit   string // of StudyTrial.Figure
	Trials int    // the usual number
	// Trial invents a signal, receives it and judges what was received. Everything follows from the seed. It is
	// called from several goroutines.
	Trial func(ctx context.Context, seed uint64) (StudyTrial, error)
}

// StudyTrial is what became of one signal.
type StudyTrial struct {
	Case   string  `json:"case"`  // the row of the table that it counts in
	Right  bool    `json:"right"` // received as the study asks
	Sure   bool    `json:"sure"`  // the decoder called its result sure; always true if it cannot say
	Figure float64 `json:"figure"`
	Note   string  `json:"note,omitempty"` // what a reader wants to know of a trial that is not right
	Seed   uint64  `json:"seed"`           // set by Run
}

// Studies are all that there are.
func Studies() []Study {
	return []Study{
		faxLineStartStudy,
		faxPolarityStudy,
		faxFalseStudy,
		faxLeanStudy,
		faxLeanLateStudy,
		faxEchoStudy,
		faxNeighbourStudy,
		rttyTextStudy,
		rttyLostShiftStudy,
		faxFilterStudy,
		rttyStartStudy,
		rttyIdleStartStudy,
		cwSpacingStudy,
	}
}

// Run makes a number of trials on all cores and calls each with their outcomes in order. The seed of trial i depends on
// seed, the study and i alone. It returns early if ctx is done.
func (s Study) Run(ctx context.Context, number int, seed uint64, each func(StudyTrial)) error {
	return trials.InOrder(ctx, number, func(ctx context.Context, i int) (StudyTrial, error) {
		own := trialSeed(seed, s.Name, nil, 0, i+1)
		t, err := s.Trial(ctx, own)
		if err != nil {
			return t, fmt.Errorf("%s, seed %d: %w", s.Name, own, err)
		}
		t.Seed = own
		return t, nil
	}, each)
}

// StudyRows sums up the trials of a study.
type StudyRows []StudyTrial

// Lines is the table: a row for each case, in the order of their names, and one for all trials.
func (r StudyRows) Lines(unit string) []string {
	byCase := map[string]StudyRows{}
	for _, t := range r {
		byCase[t.Case] = append(byCase[t.Case], t)
	}
	names := make([]string, 0, len(byCase))
	width := len("case")
	for name := range byCase {
		names = append(names, name)
		width = max(width, len([]rune(name)))
	}
	slices.Sort(names)
	lines := []string{
		fmt.Sprintf("%-*s  trials   right    sure  right of     median      95 %%     worst", width, "case"),
		fmt.Sprintf("%-*s               %%       %%  the sure %10s%10s%10s", width, "", unit, unit, unit),
	}
	for _, name := range names {
		lines = append(lines, byCase[name].line(name, width))
	}
	if len(names) > 1 {
		lines = append(lines, r.line("all", width))
	}
	return lines
}

// line is a row: shares of the trials, and quantiles of the figure's size. If a larger figure is better, as of
// fidelity, the "worst" of them is the largest all the same: a study that wants the other end writes a loss.
func (r StudyRows) line(name string, width int) string {
	right, sure, both := 0, 0, 0
	var sizes []float64
	for _, t := range r {
		sizes = append(sizes, math.Abs(t.Figure))
		if t.Right {
			right++
		}
		if t.Sure {
			sure++
			if t.Right {
				both++
			}
		}
	}
	slices.Sort(sizes)
	at := func(q float64) float64 { return sizes[int(math.Round(q*float64(len(sizes)-1)))] }
	rightOfSure := "       -"
	if sure > 0 {
		rightOfSure = fmt.Sprintf("%8.1f", 100*float64(both)/float64(sure))
	}
	n := float64(len(r)) / 100
	return strings.TrimRight(fmt.Sprintf("%-*s  %6d  %6.1f  %6.1f  %s %10.3g%10.3g%10.3g", width, name, len(r),
		float64(right)/n, float64(sure)/n, rightOfSure, at(0.5), at(0.95), at(1)), " ")
}
