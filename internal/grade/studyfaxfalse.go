package grade

import (
	"context"
	"fmt"
	"math/rand/v2"

	"ionoscribe/demod"
	"ionoscribe/fax"
	"ionoscribe/samples"
)

// faxFalseStudy asks whether charts are made of what is none.
var faxFalseStudy = Study{
	Name:   "fax-false",
	Title:  "five minutes of two or three Morse signals, of teleprinters or of speech, -3 to 30 dB: no chart",
	Unit:   "charts",
	Trials: 36,
	Trial:  faxFalseTrial,
}

// falseSeconds is the length of a trial.
const falseSeconds = 300

// toneDistances are those of control tones, in Hz: signals that are so far apart beat like them.
var toneDistances = []float64{samples.Start576Hz, samples.Start288Hz, samples.StopHz}

func faxFalseTrial(_ context.Context, seed uint64) (StudyTrial, error) {
	rng := rand.New(rand.NewPCG(seed, 0x66616c7365))
	var st StudyTrial
	path := samples.Path{Seed: rng.Uint64(), Noise: &samples.NoiseConfig{SNRdB: -3 + 33*rng.Float64(), SignalPower: 1}}
	low := 900 + 900*rng.Float64()
	apart := toneDistances[rng.IntN(3)] * (1 + 0.004*rng.NormFloat64())
	if rng.IntN(3) == 0 {
		apart = 100 + 700*rng.Float64()
	}
	add := func(source func(float64, uint64) (samples.Signal, error)) {
		path.Interference = append(path.Interference, samples.Interferer{Source: source, LevelDB: -10 * rng.Float64()})
	}
	switch kind := rng.IntN(4); kind {
	case 0, 1:
		st.Case = fmt.Sprintf("%d Morse signals", kind+2)
		for i := range kind + 2 {
			add(samples.MorseLike(samples.CWConfig{PitchHz: low + float64(i)*apart, WPM: 12 + 23*rng.Float64()}))
		}
	case 2:
		st.Case = "teleprinters"
		for i := range 1 + rng.IntN(2) {
			c := samples.RTTYConfig{
				CentreHz: low + float64(i)*apart, Diddle: rng.IntN(2) == 0,
				Baud: []float64{45.45, 50, 75, 100}[rng.IntN(4)], ShiftHz: []float64{85, 170, 300, 425, 450, 850}[rng.IntN(6)],
			}
			add(samples.TeleprinterLike(c))
			st.Note += fmt.Sprintf("%g Bd, %g Hz; ", c.Baud, c.ShiftHz)
		}
	default:
		st.Case = "speech"
		add(samples.SomeSpeech)
	}
	quiet := samples.Silence(samples.DefaultSampleRate, falseSeconds)
	src, err := path.Through(quiet, 1)
	if err != nil {
		return st, err
	}
	st.Note += fmt.Sprintf("%.0f dB, %.1f Hz apart; ", path.Noise.SNRdB, apart)
	charts, err := chartsIn(src)
	st.Right, st.Sure, st.Figure = len(charts) == 0, true, float64(len(charts))
	for _, c := range charts {
		st.Note += fmt.Sprintf("%d rows at %v lines a minute, %s to %s, %.1f dB; ", c.Rows, c.LPM, c.Began, c.Ended, c.SNR)
	}
	return st, err
}

// chartsIn are the charts that the decoder makes of a signal.
func chartsIn(src demod.SampleReader) (charts []*fax.Chart, err error) {
	for c, err := range fax.All(src, fax.Config{Plain: true}) {
		if err != nil {
			return charts, err
		}
		charts = append(charts, c)
	}
	return charts, nil
}
