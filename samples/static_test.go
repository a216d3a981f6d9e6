package samples

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"

	"ionoscribe/demod"
)

func mustStatic(t testing.TB, src demod.SampleReader, c StaticConfig) *Static {
	t.Helper()
	s, err := NewStatic(src, c)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// meanSquare is the mean power.
func meanSquare(x []float32) float64 {
	sum := 0.0
	for _, v := range x {
		sum += float64(v) * float64(v)
	}
	return sum / float64(len(x))
}

// Middleton's class A: Poisson states m of mean A, each Gaussian with variance (m/A + Γ)/(1 + Γ), here with the Poisson
// probabilities of gonum. The share of samples beyond u is Σ P(m) erfc(u/(σm √2)). By the moments of the Poisson and
// Gaussian distributions the second moment is 1 and the fourth 3(1 + 1/(A(1+Γ)²)).
func TestClassA(t *testing.T) {
	for _, c := range []struct{ index, ratio, burst float64 }{
		{0.1, 0.1, 0}, {0.35, 0.001, 0}, {1, 1, 0}, {0.01, 0.1, 0}, {3, 0, 0}, {0.1, 0.1, 0.003},
	} {
		const rate, seconds = 2000.0, 600.0
		// Noise of a power of 1 in all of the band.
		s := mustStatic(t, Silence(rate, seconds), StaticConfig{
			NoiseConfig: NoiseConfig{BandwidthHz: rate / 2, SignalPower: 1, Seed: 3}, Index: c.index, GaussRatio: c.ratio, BurstSeconds: c.burst})
		x := mustRead(t, s)
		n := float64(len(x))
		var second, fourth float64
		levels := []float64{0.1, 0.5, 1, 2, 3, 5, 8}
		beyond := make([]float64, len(levels))
		for _, v := range x {
			p := float64(v) * float64(v)
			second += p / n
			fourth += p * p / n
			for i, u := range levels {
				if p > u*u {
					beyond[i] += 1 / n
				}
			}
		}
		// Samples of one state are no independent trials.
		trials := n / (1 + 2*c.burst*rate)
		kurtosis := 3 * (1 + 1/(c.index*(1+c.ratio)*(1+c.ratio)))
		if off := math.Abs(second - 1); off > 3.5*math.Sqrt(kurtosis/trials) {
			t.Errorf("%+v: power %.4f", c, second)
		}
		t.Logf("%+v: power %.4f, fourth moment %.2f, expected %.2f", c, second, fourth, kurtosis)
		if off := math.Abs(fourth/kurtosis - 1); off > 0.1 {
			t.Errorf("%+v: fourth moment %.2f, want %.2f", c, fourth, kurtosis)
		}
		for i, u := range levels {
			want := 0.0
			for m := range 60 {
				sigma := math.Sqrt((float64(m)/c.index + c.ratio) / (1 + c.ratio))
				if sigma > 0 {
					want += distuv.Poisson{Lambda: c.index}.Prob(float64(m)) * math.Erfc(u/sigma/math.Sqrt2)
				}
			}
			if off := math.Abs(beyond[i] - want); off > 3.5*math.Sqrt(want/trials) {
				t.Errorf("%+v: %.5g of the samples beyond %v, want %.5g", c, beyond[i], u, want)
			}
		}
	}
}

// ITU-R P.372 describes noise by V_d, the root mean square of the envelope over its mean: 20 log(2/√π) = 1.05 dB for
// Gaussian noise. In a band where a state outlasts the filter the envelope is Rayleigh within a state, with mean
// σm·√π/2 for a mean square of σm².
func TestStaticEnvelope(t *testing.T) {
	const rate, index, ratio = 3000.0, 0.35, 0.1
	ratioDB := func(src demod.SampleReader) float64 {
		b, err := NewBandpass(src, 400, 1300)
		if err != nil {
			t.Fatal(err)
		}
		a := newAnalytic(b)
		re, im := make([]float32, 1000), make([]float32, 1000)
		var mean, square, count float64
		for {
			n, err := a.read(re, im)
			if err != nil {
				break
			}
			for i := range n {
				p := float64(re[i])*float64(re[i]) + float64(im[i])*float64(im[i])
				mean, square, count = mean+math.Sqrt(p), square+p, count+1
			}
		}
		return 20 * math.Log10(math.Sqrt(square/count)/(mean/count))
	}
	n := NoiseConfig{SignalPower: 1, Seed: 4}
	gauss, err := NewNoise(Silence(rate, 60), n)
	if err != nil {
		t.Fatal(err)
	}
	if got := ratioDB(gauss); math.Abs(got-1.05) > 0.02 {
		t.Errorf("white noise: V_d %.3f dB, want 1.05", got)
	}
	mean := 0.0
	for m := range 40 {
		mean += distuv.Poisson{Lambda: index}.Prob(float64(m)) * math.Sqrt((float64(m)/index+ratio)/(1+ratio)*math.Pi) / 2
	}
	want := -20 * math.Log10(mean)
	got := ratioDB(mustStatic(t, Silence(rate, 900), StaticConfig{NoiseConfig: n, Index: index, GaussRatio: ratio, BurstSeconds: 0.3}))
	t.Logf("class A with A = %v in a receiver's band: V_d %.2f dB, by the mixture %.2f", index, got, want)
	if math.Abs(got-want) > 0.15 {
		t.Errorf("V_d %.2f dB, want %.2f", got, want)
	}
}

// By the definition of the configuration: share of the time and power while there is a crash. As starts are a Poisson
// process, each sample of a gap has the same probability p of being the last, (1-p)^L = 1-share, and a gap has a mean
// of 1/p samples.
func TestCrashes(t *testing.T) {
	const rate, seconds = 1000.0, 3600.0
	for _, c := range []struct{ length, share, snr float64 }{{0.05, 0.02, -20}, {0.3, 0.1, -10}, {0.02, 0.6, 0}} {
		r, err := NewCrashes(Silence(rate, seconds), CrashConfig{
			NoiseConfig: NoiseConfig{SNRdB: c.snr, SignalPower: 0.5, Seed: 9}, Seconds: c.length, Share: c.share})
		if err != nil {
			t.Fatal(err)
		}
		x := mustRead(t, r)
		on, sum, gaps := 0.0, 0.0, 0.0
		for i, v := range x {
			if v != 0 {
				on++
				sum += float64(v) * float64(v)
			} else if i > 0 && x[i-1] != 0 {
				gaps++
			}
		}
		crashes := gaps / c.share // about
		share := on / float64(len(x))
		snr := 10 * math.Log10(0.5/(sum/on*2500/(rate/2)))
		gap := (float64(len(x)) - on) / gaps / rate
		wantGap := 1 / (1 - math.Pow(1-c.share, 1/(c.length*rate))) / rate
		t.Logf("%+v: share %.4f, SNR %.3f dB, gaps of %.3f s (%.3f)", c, share, snr, gap, wantGap)
		if math.Abs(share/c.share-1) > 3.5/math.Sqrt(crashes*c.share) {
			t.Errorf("%+v: share %.4f", c, share)
		}
		if math.Abs(snr-c.snr) > 0.06 {
			t.Errorf("%+v: SNR in a crash of %.3f dB", c, snr)
		}
		if math.Abs(gap/wantGap-1) > 3.5/math.Sqrt(gaps) {
			t.Errorf("%+v: gaps of %.3f s, want %.3f", c, gap, wantGap)
		}
	}
}
