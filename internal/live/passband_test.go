package live

import (
	"math"
	"math/cmplx"
	"strings"
	"testing"

	"ionoscribe/demod"
	"ionoscribe/internal/station"
)

// audioTone is a second and a half of a sine.
func audioTone(rate, hz, amplitude float64) (b station.Block) {
	for _, z := range bandTone(rate, hz, amplitude).IQ {
		b.Audio = append(b.Audio, real(z))
	}
	return b
}

// bandTone is the same of complex samples.
func bandTone(rate, hz, amplitude float64) station.Block {
	o := demod.NewOscillator(rate, hz)
	z := make([]complex64, int(1.5*rate))
	for i := range z {
		z[i] = complex64(complex(amplitude, 0)) * o.Next()
	}
	return station.Block{IQ: z}
}

// amplitudeAt is that of a sine in the last second of what is heard, by correlation; whole numbers of Hz do not disturb each other.
func amplitudeAt(x []float32, hz float64) float64 {
	x = x[len(x)-HeardRate:]
	var sum complex128
	for i, v := range x {
		sum += complex(float64(v), 0) * cmplx.Exp(complex(0, -2*math.Pi*hz*float64(i)/HeardRate))
	}
	return 2 * cmplx.Abs(sum) / float64(len(x))
}

func rms(x []float32) float64 {
	x = x[len(x)-HeardRate:]
	sum := 0.0
	for _, v := range x {
		sum += float64(v) * float64(v)
	}
	return math.Sqrt(sum / float64(len(x)))
}

func db(ratio float64) float64 { return 20 * math.Log10(ratio) }

// What lies within a passband is heard at its frequency, without loss, and what lies beyond its edges is held off, whatever the
// receiver is. at is where the tone is on the scale of the spectrum, heardAt where it is heard; 0: it is held off.
func TestPassband(t *testing.T) {
	upper := tuning{rate: 12000, dialHz: 7_880_000}
	lower := tuning{rate: 8000, dialHz: 7_880_000, lower: true}
	plain := tuning{rate: 44100}
	band := tuning{rate: 96000, iq: true, dialHz: 4_600_000}
	for _, c := range []struct {
		tuning
		low, high, at, heardAt float64
	}{
		{upper, 7_881_500, 7_882_300, 7_881_900, 1900},
		{upper, 7_881_500, 7_882_300, 7_881_510, 1510},
		{upper, 7_881_500, 7_882_300, 7_882_290, 2290},
		{upper, 7_881_500, 7_882_300, 7_881_400, 0},
		{upper, 7_881_500, 7_882_300, 7_882_400, 0},
		{upper, 7_881_500, 7_882_300, 7_880_300, 0},
		{upper, 0, 0, 7_883_000, 3000},
		{lower, 7_878_000, 7_878_600, 7_878_100, 1900},
		{lower, 7_878_000, 7_878_600, 7_878_900, 0},
		{lower, 0, 0, 7_879_000, 1000},
		{plain, 900, 1100, 1000, 1000},
		{plain, 900, 1100, 1300, 0},
		{plain, 0, 0, 5000, 5000},
		{plain, 0, 0, 7000, 0}, // which would come back as 5000 Hz
		{plain, 1000, 1000, 1000, 1000},
		{band, 4_612_000, 4_612_450, 4_612_225, 1500},
		{band, 4_612_000, 4_612_450, 4_612_010, 1285},
		{band, 4_612_000, 4_612_450, 4_611_900, 0},
		{band, 4_612_000, 4_612_450, 4_612_560, 0},
		{band, 4_612_000, 4_612_450, 4_587_775, 0}, // the other side of the dial
		{band, 4_580_000, 4_584_000, 4_583_000, 3100},
		{band, 4_552_100, 4_552_300, 4_552_200, 200}, // at the lower edge
		{tuning{rate: 96000, iq: true}, -20_500, -19_500, -20_000, 1500},
	} {
		e, err := newEar(c.tuning, Passband{c.low, c.high})
		if err != nil {
			t.Errorf("%+v: %v", c, err)
			continue
		}
		hz := c.at - c.dialHz
		block := bandTone(c.rate, hz, 0.5)
		if !c.iq {
			block = audioTone(c.rate, math.Abs(hz), 0.5)
		}
		x := e.hear(nil, block)
		if c.heardAt == 0 {
			if loud := db(math.Sqrt2 * rms(x) / 0.5); loud > -55 {
				t.Errorf("%+v is not held off: %.1f dB", c, loud)
			}
			continue
		}
		if loss := db(amplitudeAt(x, c.heardAt) / 0.5); math.Abs(loss) > 0.1 {
			t.Errorf("%+v is heard with %.2f dB", c, loss)
		}
	}
}

// Blocks of any length make the same sound.
func TestHearInPieces(t *testing.T) {
	const rate = 44100
	whole := audioTone(rate, 1000, 0.5)
	e, err := newEar(tuning{rate: rate}, Passband{500, 1500})
	must(t, err)
	want := e.hear(nil, whole)
	e, err = newEar(tuning{rate: rate}, Passband{500, 1500})
	must(t, err)
	var got []float32
	for at, n := 0, 1; at < whole.Len(); n = (n*7 + 3) % 1500 {
		end := min(at+n, whole.Len())
		got = e.hear(got, station.Block{Audio: whole.Audio[at:end]})
		at = end
	}
	if len(got) != len(want) {
		t.Fatalf("%d samples, want %d", len(got), len(want))
	}
	for i := range got {
		if got[i] != want[i] {
			t.Fatalf("sample %d: %g, want %g", i, got[i], want[i])
		}
	}
}

// What cannot be heard is refused with a reason.
func TestNoPassband(t *testing.T) {
	audio, band := tuning{rate: 12000, dialHz: 5e6}, tuning{rate: 96000, iq: true, dialHz: 5e6}
	for _, c := range []struct {
		tuning
		Passband
		why string
	}{
		{audio, Passband{5_002_000, 5_001_000}, "is not below"},
		{audio, Passband{math.NaN(), 5_001_000}, "is not below"},
		{audio, Passband{4_998_000, 4_999_000}, "not within"},
		{audio, Passband{5_007_000, 5_008_000}, "not within"},
		{band, Passband{}, "give low_hz and high_hz"},
		{band, Passband{5_000_000, 5_005_000}, "too wide"},
		{band, Passband{5_048_100, 5_048_200}, "not within"},
		{band, Passband{4_951_000, 4_951_900}, "not within"},
	} {
		if _, err := newEar(c.tuning, c.Passband); err == nil || !strings.Contains(err.Error(), c.why) {
			t.Errorf("%+v: %v", c, err)
		}
	}
}

// Weak and strong signals are heard alike, what is heard is never beyond full scale, and what is no number does no harm.
func TestEvenLevel(t *testing.T) {
	for _, amplitude := range []float64{1e-3, 0.01, 1, 4} {
		e, err := newEar(tuning{rate: 12000}, Passband{900, 1100})
		must(t, err)
		block := audioTone(12000, 1000, amplitude)
		block.Audio[7] = float32(math.NaN())
		x := e.hear(nil, block)
		new(evenLevel).apply(x)
		if got := amplitudeAt(x, 1000); math.Abs(db(got/evenPeak)) > 1 {
			t.Errorf("%g is heard as %g", amplitude, got)
		}
		for _, v := range x {
			if !(v >= -1 && v <= 1) {
				t.Fatalf("%g: %g", amplitude, v)
			}
		}
	}
}
