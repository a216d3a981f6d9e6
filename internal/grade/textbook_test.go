package grade

import (
	"image"
	"math"
	"strconv"
	"testing"

	"ionoscribe/samples"
)

// strokes is the picture of testdata/textbook.py.
func strokes(columns, rows int) *image.Gray {
	m := blank(columns, rows)
	state := 1
	for y := range rows {
		for x := 0; ; x += 2 {
			state = (state*1103515245 + 12345) % (1 << 31)
			x += 4 + (state>>16)%28
			if x+2 > columns {
				break
			}
			m.Pix[y*m.Stride+x], m.Pix[y*m.Stride+x+1] = 0, 0
		}
	}
	return m
}

// Values: a receiver made of SciPy's filters, with a signal and noise of its own (testdata/textbook.py).
func TestTextbookSciPy(t *testing.T) {
	var want map[string]float64
	readJSON(t, "testdata/textbook.json", &want)
	m := strokes(1810, 120)
	for snr, f := range want {
		t.Run(snr, func(t *testing.T) {
			t.Parallel()
			db, err := strconv.ParseFloat(snr, 64)
			if err != nil {
				t.Fatal(err)
			}
			trial := FaxTrial{
				Transmission: samples.FaxConfig{Picture: m, StartSeconds: -1, PhasingSeconds: -1, StopSeconds: -1, BlackSeconds: 0.1},
				SNR:          db, Seed: 1,
			}
			src, sent, err := trial.Source()
			if err != nil {
				t.Fatal(err)
			}
			x, err := samples.ReadAll(src)
			if err != nil {
				t.Fatal(err)
			}
			got := fidelityAt(m, trial.textbook(src.SampleRate(), sent).Draw(x), 0, 0)
			if math.Abs(got-f) > 0.03*f+0.02 { // the noise is another one
				t.Errorf("%.2f dB, SciPy reaches %.2f", got, f)
			}
		})
	}
}
