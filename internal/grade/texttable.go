package grade

import (
	"fmt"
	"slices"
	"strings"

	"ionoscribe/internal/theory"
)

// TextRow sums up the grades of the messages at one SNR: a line of the table.
type TextRow []TextGrade

// ErrorRate is the edit distance over the characters sent. A message counts with as many errors as it has
// characters at most: a decoder may print more than that of noise.
func (r TextRow) ErrorRate() Interval {
	wrong, of := make([]int, len(r)), make([]int, len(r))
	for i, g := range r {
		wrong[i], of[i] = min(g.Total(), g.Sent), g.Sent
	}
	return proportion(wrong, of)
}

// Calibration is that of all messages together.
func (r TextRow) Calibration() (all Calibration) {
	for _, g := range r {
		all.Add(g.Calibration)
	}
	return all
}

// TextHeader is the two lines above TextRows, with a column for each curve.
func TextHeader(curves []theory.Curve) string {
	names := "  SNR  characters   errors   from    to    replaced  added   lost  first right  confidence"
	units := "   dB                    %      %     %           %      %      %            s     off by"
	for _, c := range curves {
		width := max(columnWidth, len([]rune(c.Name)))
		names += fmt.Sprintf("  %*s", width, c.Name)
		units += fmt.Sprintf("  %*s", width, "%")
	}
	return names + "\n" + units
}

const columnWidth = 7

// Line is the row's line of the table: the error rate with its 95 % interval, its parts, the median of the time to
// the first right character of the messages that have one, and what the curves say.
func (r TextRow) Line(curves []theory.Curve) string {
	var e Edits
	sent := 0
	var first []float64
	for _, g := range r {
		sent += g.Sent
		e.Substituted += g.Substituted
		e.Inserted += g.Inserted
		e.Deleted += g.Deleted
		if g.FirstRight != nil {
			first = append(first, *g.FirstRight)
		}
	}
	share := func(n int) string { return percent(float64(n) / float64(max(1, sent))) }
	late := "-"
	if slices.Sort(first); len(first) > 0 {
		late = fmt.Sprintf("%.1f", (first[(len(first)-1)/2]+first[len(first)/2])/2)
	}
	rate := r.ErrorRate()
	line := fmt.Sprintf("%5g  %10d  %7s  %5s  %5s  %9s  %5s  %5s  %11s  %10.3f", r[0].SNR, sent,
		percent(rate.Value), percent(rate.Low), percent(rate.High),
		share(e.Substituted), share(e.Inserted), share(e.Deleted), late, r.Calibration().Off())
	for _, c := range curves {
		line += fmt.Sprintf("  %*s", max(columnWidth, len([]rune(c.Name))), percent(c.At(r[0].SNR)))
	}
	return strings.TrimRight(line, " ")
}

// percent writes a share with as many digits as fit into five places.
func percent(share float64) string {
	switch p := 100 * share; {
	case p < 1e-12: // what rounding leaves of 0
		return "0"
	case p < 0.0095:
		return fmt.Sprintf("%.0e", p)
	case p < 9.95:
		return fmt.Sprintf("%.2f", p)
	default:
		return fmt.Sprintf("%.1f", p)
	}
}
