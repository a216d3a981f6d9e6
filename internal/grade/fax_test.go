package grade

import (
	"fmt"
	"image"
	"math"
	"testing"

	"ionoscribe/fax/draw"
	"ionoscribe/internal/scenario"
	"ionoscribe/samples"
)

// receive sends a picture to a receiver with clock and tuning error.
func receive(t *testing.T, m *image.Gray, snr float64) *FaxResult {
	t.Helper()
	r, err := FaxTrial{
		Transmission: samples.FaxConfig{CentreHz: 1943}, SNR: snr, ClockPPM: 87, Seed: 7,
	}.Run(m)
	if err != nil {
		t.Fatal(err)
	}
	if len(r.Charts) != 1 || r.Rows != m.Rect.Dy() {
		t.Fatalf("%d charts, the longest with %d rows of %d", len(r.Charts), r.Rows, m.Rect.Dy())
	}
	return r
}

// plain draws the chart of a result again, without restoration.
func plain(r *FaxResult) *image.Gray {
	d := r.Chart.Drawing
	d.Plain = true
	m, _ := draw.Draw(r.Chart.Video, d)
	return m
}

// Regression: fidelity within 1 dB of what is reached. The textbook receiver's figures are those of the
// project's simulations before the decoder existed. TestLongFidelity and "ionoscribe grade fax" have more.
func TestFidelityAgainstNoise(t *testing.T) {
	t.Parallel()
	checkFidelity(t,
		fidelityCase{"dense", 3, 1.9, 11.9},
		fidelityCase{"lettering", 0, 0.7, 7.4},
	)
}

type fidelityCase struct {
	name           string
	snr            float64
	textbook, want float64 // dB
}

func checkFidelity(t *testing.T, cases ...fidelityCase) {
	const lines = 400
	page, _ := scenario.Lettering(1810, lines, 1)
	pictures := map[string]*image.Gray{"dense": scenario.DenseChart(1810, lines, 1), "lettering": page}
	for _, c := range cases {
		t.Run(fmt.Sprintf("%s %g dB", c.name, c.snr), func(t *testing.T) {
			t.Parallel()
			r := receive(t, pictures[c.name], c.snr)
			t.Logf("fidelity %.2f dB, textbook %.2f dB, clock error %.2f and line start %.2f pixels, %d strokes not sent",
				r.Fidelity, r.Textbook, r.ClockPixels, r.StartPixels, Strays(r.Sent, r.Chart.Image, r.DX, r.DY))
			if !r.Chart.TwoLevel {
				t.Error("greys were seen in a chart without any")
			}
			if r.Fidelity < c.want {
				t.Errorf("fidelity %.2f dB, want %.1f", r.Fidelity, c.want)
			}
			if math.Abs(r.Textbook-c.textbook) > 0.3 {
				t.Errorf("the textbook receiver reaches %.2f dB instead of %.1f", r.Textbook, c.textbook)
			}
		})
	}
}

// A chart without greys is known as such whatever the noise, tuning and clock.
func TestTwoLevelIsKnown(t *testing.T) {
	t.Parallel()
	m := scenario.DenseChart(1810, 160, 1)
	for i, trial := range []FaxTrial{
		{SNR: 6}, {SNR: 3}, {SNR: 3, ClockPPM: 87}, {SNR: 3, ClockPPM: -150, Transmission: samples.FaxConfig{CentreHz: 1850}}, {SNR: 0},
	} {
		t.Run(fmt.Sprint(i), func(t *testing.T) {
			t.Parallel()
			trial.Seed = uint64(7 + i)
			r, err := trial.RunLines(m)
			if err != nil {
				t.Fatal(err)
			}
			if !r.Chart.TwoLevel {
				t.Errorf("%g dB, clock error %g ppm: greys were seen", trial.SNR, trial.ClockPPM)
			}
		})
	}
}

// A clean signal must not suffer from restoration, nor from the lack of it.
func TestCleanSignal(t *testing.T) {
	t.Parallel()
	const lines, loss = 160, 0.3 // dB
	page, _ := scenario.Lettering(1810, lines, 1)
	for name, m := range map[string]*image.Gray{
		"dense": scenario.DenseChart(1810, lines, 1), "lettering": page, "grey": scenario.Satellite(1810, lines, 1),
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			r := receive(t, m, 40)
			t.Logf("fidelity %.2f dB, textbook %.2f dB", r.Fidelity, r.Textbook)
			if r.Chart.TwoLevel != (name != "grey") {
				t.Errorf("two-level: %v", r.Chart.TwoLevel)
			}
			if r.Fidelity < r.Textbook-loss {
				t.Errorf("restored %.2f dB, textbook receiver %.2f", r.Fidelity, r.Textbook)
			}
			f, _, _ := Fidelity(r.Sent, plain(r), 1)
			t.Logf("plain %.2f dB", f)
			if f < r.Textbook-loss {
				t.Errorf("plain %.2f dB, textbook receiver %.2f", f, r.Textbook)
			}
		})
	}
}

// An area in which nothing was sent stays empty.
func TestEmptyAreaStaysEmpty(t *testing.T) {
	t.Parallel()
	const lines = 160
	m := framed(1810, lines)
	for _, c := range []struct {
		snr  float64
		most int // strokes on the page; regression at 0 and -3 dB
	}{{10, 0}, {3, 0}, {0, 5}, {-3, 80}} {
		t.Run(fmt.Sprintf("%g dB", c.snr), func(t *testing.T) {
			t.Parallel()
			r := receive(t, m, c.snr)
			n := Strays(r.Sent, r.Chart.Image, r.DX, r.DY)
			t.Logf("%d strokes that nobody sent", n)
			if n > c.most {
				t.Errorf("%d strokes that nobody sent", n)
			}
		})
	}
}

// framed is white with the frame that charts have.
func framed(w, h int) *image.Gray {
	m := blank(w, h)
	margin := int(math.Ceil(scenario.Margin * float64(w)))
	fill(m, image.Rect(margin, 10, w-margin, h-10), 0)
	fill(m, image.Rect(margin+3, 13, w-margin-3, h-13), 255)
	return m
}

func fill(m *image.Gray, r image.Rectangle, v uint8) {
	for y := r.Min.Y; y < r.Max.Y; y++ {
		for x := r.Min.X; x < r.Max.X; x++ {
			m.Pix[y*m.Stride+x] = v
		}
	}
}
