package grade

import (
	"fmt"
	"math"
	"strings"
)

// FaxRow sums up the grades of trials of one picture at one SNR: a line of the table.
type FaxRow []FaxGrade

// FaxHeader is the two lines above FaxRows.
func FaxHeader(read bool) string {
	names := "picture      SNR  fidelity  textbook   gain   PSNR   SSIM  clock error  line start  missed   split   strokes"
	units := "              dB        dB        dB     dB     dB               pixels      pixels                  not sent"
	if read {
		names += "  misread  textbook"
		units += "        %         %"
	}
	return names + "\n" + units
}

// String is the line of the table: means over the charts that were received, root mean squares of the errors of
// clock and line start; a dash where there is none.
func (r FaxRow) String() string {
	value := func(width int, format string, scale float64, v func(FaxGrade) (float64, bool)) string {
		sum, n := 0.0, 0
		for _, g := range r {
			if x, ok := v(g); ok {
				sum += x
				n++
			}
		}
		if n == 0 {
			return fmt.Sprintf("%*s", width, "-")
		}
		mean := sum / float64(n)
		if scale == 0 { // of squares
			mean, scale = math.Sqrt(mean), 1
		}
		return fmt.Sprintf("%*s", width, fmt.Sprintf(format, scale*mean))
	}
	received := func(v func(FaxGrade) float64) func(FaxGrade) (float64, bool) {
		return func(g FaxGrade) (float64, bool) { return v(g), !g.Missed }
	}
	share := func(v func(FaxGrade) *float64) func(FaxGrade) (float64, bool) {
		return func(g FaxGrade) (float64, bool) {
			if p := v(g); p != nil {
				return *p, true
			}
			return 0, false
		}
	}
	missed, split, read := 0, 0, false
	for _, g := range r {
		if g.Missed {
			missed++
		}
		if g.Charts > 1 {
			split++
		}
		read = read || g.TextbookMisread != nil
	}
	const square = 0
	line := fmt.Sprintf("%-10s %5g", r[0].Picture, r[0].SNR) +
		value(10, "%.1f", 1, received(func(g FaxGrade) float64 { return g.Fidelity })) +
		value(10, "%.1f", 1, func(g FaxGrade) (float64, bool) { return g.Textbook, true }) +
		value(7, "%+.1f", 1, received(func(g FaxGrade) float64 { return g.Fidelity - g.Textbook })) +
		value(7, "%.1f", 1, received(func(g FaxGrade) float64 { return g.PSNR })) +
		value(7, "%.3f", 1, received(func(g FaxGrade) float64 { return g.SSIM })) +
		value(13, "%.2f", square, received(func(g FaxGrade) float64 { return g.ClockPixels * g.ClockPixels })) +
		value(12, "%.2f", square, received(func(g FaxGrade) float64 { return g.StartPixels * g.StartPixels })) +
		fmt.Sprintf("%8s", fmt.Sprintf("%d/%d", missed, len(r))) +
		fmt.Sprintf("%8s", fmt.Sprintf("%d/%d", split, len(r))) +
		value(10, "%.1f", 1, received(func(g FaxGrade) float64 { return float64(g.Strays) }))
	if read {
		line += value(9, "%.1f", 100, share(func(g FaxGrade) *float64 { return g.Misread })) +
			value(10, "%.1f", 100, share(func(g FaxGrade) *float64 { return g.TextbookMisread }))
	}
	return strings.TrimRight(line, " ")
}
