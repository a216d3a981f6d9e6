package theory

import (
	"flag"
	"fmt"
	"math"
	"os"
	"strings"
	"sync"
	"testing"
)

var update = flag.Bool("update", false, "simulate morse.csv and modeb.csv anew; takes some minutes")

// writeTable simulates the table: 10 000 errors a value, or four million characters.
func writeTable(t *testing.T) {
	const first, last = 0, 14 // Ed/N0 in dB
	rows := make([]string, last-first+1)
	var wg sync.WaitGroup
	for i := range rows {
		wg.Go(func() {
			db := first + i
			row := fmt.Sprint(db)
			for k, c := range []map[rune]string{letters, both} {
				for _, d := range []Detection{Envelope, CellEnvelope, Phase} {
					row += fmt.Sprintf(",%.4g", Morse{Code: c, Detection: d}.cer(ratio(float64(db)), 4e6, 10000, uint64(100*k+i)))
				}
			}
			rows[i] = row
		})
	}
	wg.Wait()
	head := "Ed/N0 dB,letters envelope,letters cell envelope,letters phase,letters and figures envelope,letters and figures cell envelope,letters and figures phase\n"
	if err := os.WriteFile("morse.csv", []byte(head+strings.Join(rows, "\n")+"\n"), 0o644); err != nil {
		t.Fatal(err)
	}
}

// The curve is what a simulation gives with another seed, at points between those of the table too.
func TestMorseTable(t *testing.T) {
	if *update {
		writeTable(t)
		return
	}
	for _, c := range []struct {
		snr     float64
		figures bool
		code    map[rune]string
	}{{-16.3, false, letters}, {-13.6, false, letters}, {-11.8, false, letters}, {-13.6, true, both}} {
		for d := Envelope; d <= Phase; d++ {
			want := Morse{Code: c.code, WPM: 20, Detection: d}.CER(c.snr, 30000, 9)
			curve := MorseCurve(20, d, c.figures)
			near(t, fmt.Sprintf("%s, figures %t, %g dB", curve.Name, c.figures, c.snr), curve.At(c.snr), want, 0.08)
		}
	}
}

// A curve falls, and at twice the speed it lies 3 dB higher.
func TestMorseCurve(t *testing.T) {
	for d := Envelope; d <= Phase; d++ {
		slow, fast := MorseCurve(20, d, false), MorseCurve(40, d, false)
		for snr := -25.0; snr < 0; snr += 0.25 {
			if slow.At(snr+0.25) > slow.At(snr) {
				t.Errorf("%s rises at %g dB", slow.Name, snr)
			}
			near(t, "at twice the speed", fast.At(snr+10*math.Log10(2)), slow.At(snr), 1e-9)
		}
	}
}
