package grade

import (
	"fmt"
	"math"
	"strings"

	"ionoscribe/internal/theory"
	"ionoscribe/samples"
)

// FaxPlot draws the fidelity of the rows of a plan, beside the textbook receiver's.
func FaxPlot(c *samples.Channel, rows []FaxRow) Plot {
	p := Plot{Title: "Radiofax: fidelity of the chart" + through(c), Y: "fidelity, dB"}
	var names []string
	places := map[string]int{} // in p.Series, of the pictures
	for _, r := range rows {
		name := r[0].Picture
		if _, ok := places[name]; !ok {
			places[name] = len(p.Series)
			names = append(names, name)
			p.Series = append(p.Series, Series{Name: name + " picture, with 95 % intervals of the mean"})
		}
	}
	for _, name := range names {
		p.Series = append(p.Series, Series{Name: name + " picture, textbook receiver", Beside: true})
	}
	for _, r := range rows {
		var fidelity, textbook []float64
		for _, g := range r {
			textbook = append(textbook, g.Textbook)
			if !g.Missed {
				fidelity = append(fidelity, g.Fidelity)
			}
		}
		i := places[r[0].Picture]
		for place, x := range map[int][]float64{i: fidelity, i + len(names): textbook} {
			s := &p.Series[place]
			s.X, s.Values = append(s.X, r[0].SNR), append(s.Values, meanOf(x))
		}
	}
	return p
}

// TextPlot draws the error rates of the rows of a plan, beside what theory says.
func TextPlot(m TextMode, c *samples.Channel, rows []TextRow, curves []theory.Curve) Plot {
	s := Series{Name: "measured, with 95 % intervals (hollow: no error, at the upper bound)"}
	for _, r := range rows {
		s.X, s.Values = append(s.X, r[0].SNR), append(s.Values, r.ErrorRate())
	}
	p := Plot{Title: strings.ToUpper(m.Title[:1]) + m.Title[1:] + ": character errors" + through(c), Y: "character error rate, %", Log: true}
	p.Series = append(p.Series, s)
	for _, curve := range curves {
		p.Series = append(p.Series, Series{Name: curve.Name, At: curve.At})
	}
	return p
}

func through(c *samples.Channel) string {
	if c == nil {
		return " in white noise"
	}
	return fmt.Sprintf(" through the channel %q (%g ms, %g Hz)", c.Name, math.Round(c.DelaySeconds*1e6)/1e3, c.SpreadHz)
}
