package fax_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"ionoscribe/fax"
	"ionoscribe/samples"
)

// The three forms of phasing (ISO 9876:2015 3.8 and common practice), with any clock error to 500 ppm and tuning to
// 100 Hz, in both sidebands, at all line rates and both indices of cooperation; half of the combinations once at 0 dB and
// a quarter at 6 dB (TestLongPhasingLineStart), all five times with -long. The line start is that of the transmission, in pixels:
// within one at 0 dB SNR and above.
func TestPhasingLineStart(t *testing.T) { phasingLineStart(t, 0.001, 0.3, 1, 2) }

// phasingLineStart runs one of so many trials, or all with -long; rms and worst are bounds in pixels.
func phasingLineStart(t *testing.T, snr, rms, worst float64, oneOf int) {
	const rate = 8000
	names := []string{"white pulse", "black pulse", "half and half"}
	for form, name := range names {
		f, wrongRow, n := figures{}, 0, 0
		for _, ioc := range []int{576, 288} {
			for l, lpm := range []float64{60, 90, 120, 240} {
				for _, lower := range []bool{false, true} {
					for k := range times(1, 5) {
						if !*long && (lower == ((l+form+ioc/288)%2 == 0) || oneOf == 4 && (l/2+form+ioc/288)%2 == 0) {
							continue
						}
						rng := rand.New(rand.NewPCG(uint64(k), uint64(lpm)+uint64(ioc)))
						seconds := 12.0
						c := trial{snr: snr, ppm: 1000*rng.Float64() - 500, seed: rng.Uint64()}
						c.FaxConfig = samples.FaxConfig{
							Picture: picture(ioc, max(int(seconds*lpm/60), 30), rng.Uint64()), SampleRate: rate, IOC: ioc, LPM: lpm,
							CentreHz: 1900 + 200*rng.Float64() - 100, Inverted: lower, Phasing: samples.Phasing(form),
						}
						what := fmt.Sprintf("%s, IOC %d, %v lines a minute, lower %v, trial %d (%.0f ppm, centre %.0f Hz)",
							name, ioc, lpm, lower, k, c.ppm, c.CentreHz)
						x, sent := c.audio(t)
						charts := hear(t, fax.Config{SampleRate: rate, Plain: true}, x)
						n++
						if len(charts) != 1 {
							t.Errorf("%s: %d charts", what, len(charts))
							for _, ch := range charts {
								t.Logf("  %s to %s, %.1f to %.1f s (picture from %.1f s), %v lines a minute, SNR %.1f dB", ch.Began, ch.Ended, float64(ch.Start)/rate, float64(ch.End)/rate, sent.PictureStart(), ch.LPM, ch.SNR)
							}
							continue
						}
						ch := charts[0]
						skew := 1 + c.ppm*1e-6
						e, rows := lineError(ch, rate, sent.PictureStart()*rate*skew, 60/lpm*rate*skew)
						f.add(e)
						if rows != 0 {
							wrongRow++
							t.Logf("%s: begins %v rows late", what, rows)
						}
						if math.Abs(e) > worst || ch.LPM != lpm || ch.IOC != ioc || ch.Inverted != lower || !ch.PhaseMeasured {
							t.Errorf("%s: line start off by %.2f pixels; received as IOC %d, %v lines a minute, inverted %v, phase measured %v",
								what, e, ch.IOC, ch.LPM, ch.Inverted, ch.PhaseMeasured)
						}
					}
				}
			}
		}
		t.Logf("%s: line start off by %.2f pixels RMS, %.2f at worst, %+.2f on average; first row wrong in %d of %d", name, f.rms(), f.worst, f.mean(), wrongRow, n)
		if f.rms() > rms {
			t.Errorf("%s: line start off by %.2f pixels RMS", name, f.rms())
		}
		if wrongRow > n/20+1 {
			t.Errorf("%s: the first row is wrong in %d of %d", name, wrongRow, n)
		}
	}
}
