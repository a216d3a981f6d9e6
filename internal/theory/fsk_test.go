package theory

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"os"
	"testing"
)

// reference is testdata/reference.json, made by reference.py with SciPy.
type reference struct {
	FSK []struct {
		Coherent             bool
		Paths                int
		EbN0, Bit, Character float64
	}
	LogI0 [][2]float64 `json:"log_i0"`
	Q     [][2]float64
	Morse []struct {
		EdN0, Phase, Cell, Envelope float64
		EnvelopeError               float64 `json:"envelope_error"`
	}
}

func readReference(t *testing.T) (r reference) {
	t.Helper()
	b, err := os.ReadFile("testdata/reference.json")
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(b, &r); err != nil {
		t.Fatal(err)
	}
	return r
}

func near(t *testing.T, name string, got, want, relative float64) {
	t.Helper()
	if !(math.Abs(got-want) <= relative*math.Abs(want)) {
		t.Errorf("%s: %.10g, want %.10g", name, got, want)
	}
}

func ratio(db float64) float64 { return math.Pow(10, db/10) }

// SciPy: envelopes from densities of chi-square variables, fading by adaptive integration.
func TestFSKSciPy(t *testing.T) {
	r := readReference(t)
	for _, c := range r.FSK {
		f := FSK{Coherent: c.Coherent, Paths: c.Paths}
		near(t, "bit", f.Bit(ratio(c.EbN0)), c.Bit, 1e-9)
		near(t, "character", f.Character(ratio(c.EbN0)), c.Character, 1e-9)
	}
	for _, c := range r.Q {
		near(t, "Q", tail(c[0]), c[1], 1e-9)
	}
	for _, c := range r.LogI0 {
		if got := logI0(c[0]); math.Abs(got-c[1]) > 4.8e-7+1e-12*c[1] { // the error of the series, and of the digits kept
			t.Errorf("ln I0(%g) = %.9f, want %.9f", c[0], got, c[1])
		}
	}
}

// Eb/N0 in dB for an error rate, as the curves of textbooks are read (Proakis; Sklar, Digital Communications; from
// memory), and Q from Abramowitz and Stegun, table 26.1.
func TestTextbookValues(t *testing.T) {
	for _, c := range []struct {
		name      string
		f         FSK
		db, bit   float64
		tolerance float64 // of the error rate: the dB figures are rounded
	}{
		{"noncoherent 1e-3", FSK{}, 10.94, 1e-3, 0.01},
		{"noncoherent 1e-5", FSK{}, 13.35, 1e-5, 0.02},
		{"coherent 1e-5", FSK{Coherent: true}, 12.6, 1e-5, 0.05},
		{"coherent 1e-3", FSK{Coherent: true}, 9.8, 1e-3, 0.01},
		{"Rayleigh 1e-3", FSK{Paths: 1}, 30, 1e-3, 0.01},
		{"coherent Rayleigh 1e-3", FSK{Coherent: true, Paths: 1}, 27, 1e-3, 0.01},
	} {
		near(t, c.name, c.f.Bit(ratio(c.db)), c.bit, c.tolerance)
	}
	near(t, "Q(1)", tail(1), 0.1586552539, 1e-9)
	near(t, "Q(4)", tail(4), 3.167124183e-5, 1e-9)
}

// SNR in 2500 Hz: Eb/N0 is SNR·2500/Bd. 50 Bd, 10⁻³: Eb/N0 10.94 dB, C/N0 27.93 dB Hz, -6.05 dB. The character
// error rates are the same arithmetic, 1-(1-P)⁵, done by hand for the rates in use.
func TestSNR(t *testing.T) {
	f := FSK{Baud: 50}
	ebN0 := 2 * math.Log(0.5/1e-3)
	if db := SNRdB(ebN0, 1.0/50); math.Abs(db+6.05) > 0.005 {
		t.Errorf("50 Bd, 1e-3: %.3f dB in 2500 Hz, want -6.05", db)
	}
	if db := 10*math.Log10(ebN0) + 10*math.Log10(50); math.Abs(db-27.93) > 0.005 {
		t.Errorf("C/N0 %.3f dB Hz, want 27.93", db)
	}
	near(t, "back", EnergyRatio(SNRdB(12, 0.02), 0.02), 12, 1e-12)
	for _, c := range []struct {
		baud     float64
		coherent bool
		snr, cer float64
	}{{45.45, false, -7, 0.0103}, {45.45, true, -8, 0.00786}, {50, false, -7, 0.0169}} {
		f.Baud, f.Coherent = c.baud, c.coherent
		near(t, f.Curve().Name, f.Curve().At(c.snr), c.cer, 0.005)
	}
}

// Closed form for envelopes in Rayleigh fading that is constant over a character, by binomial expansion:
// 1-(1-½e^(-x/2))⁵ = -Σ C(5,k) (-½)^k e^(-kx/2) for k = 1..5, and the mean of e^(-kx/2) is 1/(1+kγ/2).
func TestCharacterClosedForm(t *testing.T) {
	for _, gamma := range []float64{1e-3, 0.1, 1, 10, 100, 1e4} {
		binomial := []float64{1, 5, 10, 10, 5, 1}
		want, power := 0.0, 1.0
		for k := 1; k <= 5; k++ {
			power *= -0.5
			want -= binomial[k] * power / (1 + float64(k)*gamma/2)
		}
		near(t, "character", FSK{Paths: 1}.Character(gamma), want, 1e-10)
	}
}

// An element is wrong where noise alone in one filter has the greater envelope, in a steady signal and in Rayleigh
// fading: envelopes drawn at random, within 3 standard errors.
func TestEnvelopesMonteCarlo(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	normal := func() float64 { return rng.NormFloat64() * math.Sqrt2 / 2 }
	const n = 200000
	for _, paths := range []int{0, 1} {
		for _, ebN0 := range []float64{1, 4, 8} {
			errors := 0
			for range n {
				a, b := math.Sqrt(ebN0), 0.0
				if paths == 1 {
					a, b = a*normal(), a*normal()
				}
				if math.Hypot(normal(), normal()) > math.Hypot(a+normal(), b+normal()) {
					errors++
				}
			}
			p := FSK{Paths: paths}.Bit(ebN0)
			if got := float64(errors) / n; math.Abs(got-p) > 3*math.Sqrt(p/n) {
				t.Errorf("%d paths, Eb/N0 %g: %.5f of the elements are wrong, by formula %.5f", paths, ebN0, got, p)
			}
		}
	}
}
