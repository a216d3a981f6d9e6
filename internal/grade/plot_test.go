package grade

import (
	"bytes"
	"image/color"
	"image/png"
	"io"
	"math"
	"strings"
	"testing"

	"ionoscribe/internal/theory"
)

// examples are the plots of made-up grades.
func examples() map[string]Plot {
	mode := toy(0)
	curves := append(mode.Theory(nil), theory.Curve{Name: "three decibels less", At: func(snr float64) float64 { return mode.Theory(nil)[0].At(snr - 3) }})
	var text []TextRow
	for snr := 30.0; snr >= 18; snr -= 2 {
		wrong := int(math.Round(300 * curves[0].At(snr-0.5)))
		text = append(text, TextRow{{SNR: snr, Sent: 300, Edits: Edits{Substituted: wrong}}, {SNR: snr, Sent: 300, Edits: Edits{Substituted: wrong + wrong/4}}})
	}
	var fax []FaxRow
	for _, picture := range []string{"dense", "lettering"} {
		for snr := 10.0; snr >= -3; snr -= 3 {
			row := FaxRow{}
			for i := range 3 {
				f := 2*snr + 8 + float64(i) + float64(len(picture))/2
				row = append(row, FaxGrade{Picture: picture, SNR: snr, Fidelity: f, Textbook: f / 4, Missed: snr < -1})
			}
			fax = append(fax, row)
		}
	}
	channel, _ := FindChannel("mid-quiet")
	return map[string]Plot{
		"text":    TextPlot(mode, nil, text, curves),
		"fax":     FaxPlot(channel, fax),
		"nothing": FaxPlot(nil, []FaxRow{{{Picture: "dense", Missed: true}}}),
		"no one":  TextPlot(mode, nil, []TextRow{{{SNR: 1}}}, nil),
	}
}

// A plot shows its title and names, and each of its colours.
func TestPlot(t *testing.T) {
	for name, p := range examples() {
		var svg, picture bytes.Buffer
		for format, w := range map[string]io.Writer{"svg": &svg, "png": &picture} {
			if err := p.Write(w, format); err != nil {
				t.Fatalf("%s: %v", name, err)
			}
		}
		words := []string{p.Title, p.Y}
		for _, s := range p.Series {
			words = append(words, s.Name)
		}
		for _, w := range words {
			w = strings.NewReplacer(`"`, "&#34;").Replace(w)
			if !strings.Contains(svg.String(), ">"+w+"<") {
				t.Errorf("%s: the SVG does not show %q", name, w)
			}
		}
		m, err := png.Decode(&picture)
		if err != nil {
			t.Fatal(err)
		}
		if b := m.Bounds(); b.Dx() != 1080 || b.Dy() != 662+30*len(p.Series) {
			t.Errorf("%s: the picture is %v", name, b)
		}
		seen := map[color.Color]int{}
		for y := range m.Bounds().Dy() {
			for x := range m.Bounds().Dx() {
				seen[color.RGBAModel.Convert(m.At(x, y))]++
			}
		}
		if name == "text" || name == "fax" {
			for _, c := range palette[:2] {
				if seen[c] < 100 {
					t.Errorf("%s: %d pixels are %v", name, seen[c], c)
				}
			}
		}
	}
	if err := (Plot{}).Write(io.Discard, "gif"); err == nil {
		t.Error("no error for a format that there is not")
	}
	for name, want := range map[string]string{"a.png": "png", "b/c.svg": "svg", "d.gif": "", "svg": "", "": ""} {
		if got := PlotFormat(name); got != want {
			t.Errorf("%q: %q, want %q", name, got, want)
		}
	}
}
