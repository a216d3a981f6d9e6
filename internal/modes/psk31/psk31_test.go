package psk31

import (
	"strings"
	"testing"

	"ionoscribe/internal/decodertest"
	"ionoscribe/internal/mode"
	"ionoscribe/psk"
	"ionoscribe/samples"
)

const rate = 12000

const text = "gale warning Ostrel Sea: southwest 8 backing south 9 soon, visibility moderate. "

// sent is a transmission of a text, with silence around it and noise at an SNR in dB in 2500 Hz.
func sent(t *testing.T, s sender, text string, snr float64) []float32 {
	t.Helper()
	s.PSK31Config.SampleRate = rate
	sound, err := s.Sound(text, 0.1, 1)
	if err != nil {
		t.Fatal(err)
	}
	src, err := samples.Concat(samples.Silence(rate, 1), sound, samples.Silence(rate, 3))
	if err != nil {
		t.Fatal(err)
	}
	n, err := samples.NewNoise(src, samples.NoiseConfig{SNRdB: snr, SignalPower: sound.Power(), Seed: 5})
	if err != nil {
		t.Fatal(err)
	}
	x, err := samples.ReadAll(n)
	if err != nil {
		t.Fatal(err)
	}
	return x
}

// heard is what a decoder tells of samples: the text of each signal, and what it is received with.
func heard(t *testing.T, r *receiver, o mode.Order, x []float32) (texts map[int]string, states []mode.Heard) {
	t.Helper()
	o.SampleRate = rate
	texts = map[int]string{}
	d, err := r.NewDecoder(o, mode.Told{
		Text:  func(h mode.Heard) { texts[h.Signal] += h.Text },
		State: func(h mode.Heard) { states = append(states, h) },
	})
	if err != nil {
		t.Fatal(err)
	}
	d.Write(x)
	d.Flush()
	return texts, states
}

func TestReceiver(t *testing.T) {
	texts, states := heard(t, &receiver{}, mode.Order{}, sent(t, sender{}, text, 5))
	if texts[0] != text || len(texts) != 1 {
		t.Errorf("%v", texts)
	}
	if len(states) != 2 || states[0].Settings != (psk.Settings{}) || states[0].Hz < 999 || states[0].Hz > 1001 || !states[1].Lost {
		t.Errorf("%+v", states)
	}
	if snr := states[0].Fields.(stateFields).SNR; snr < 1 || snr > 9 {
		t.Errorf("%g dB, sent with 5", snr)
	}
	if _, err := (&receiver{pitch: 100}).NewDecoder(mode.Order{SampleRate: rate}, mode.Told{}); err == nil {
		t.Error("a pitch of 100 Hz is not refused")
	}
}

// Of two signals 40 Hz apart an ordered decoder receives its own, even if the other one is 6 dB stronger.
func TestNeighbours(t *testing.T) {
	x := sent(t, sender{}, text, 3)
	other := text[30:] + text[:30]
	for i, v := range sent(t, sender{samples.PSK31Config{PitchHz: 1040}}, other, 60) {
		x[i] += 2 * v
	}
	texts, _ := heard(t, &receiver{all: true}, mode.Order{Hz: 1003, Settings: psk.Settings{}}, x)
	if !strings.Contains(texts[0], text[10:]) { // the first word is lost as long as the level is not known
		t.Errorf("%v", texts)
	}
}

// The judge knows a signal 16 Hz off, as one of the lines of its reversals is, and its pitch.
func TestJudge(t *testing.T) {
	x := sent(t, sender{samples.PSK31Config{PitchHz: cutHz + 16}}, text, -8)
	v := Mode.NewJudge().Judge(x[:8*rate], rate, nil)
	if !v.Is || v.Characters < 10 || v.Sure < 0.9 || v.Hz < cutHz+15 || v.Hz > cutHz+17 {
		t.Errorf("%+v", v)
	}
}

// The judge tells two phases and four apart, and the sideband, in noise and in fading.
func TestJudgePhases(t *testing.T) {
	j := Mode.NewJudge()
	for _, channel := range []string{"", "mid-moderate"} {
		for _, want := range []psk.Settings{{}, {QPSK: true}, {QPSK: true, Inverted: true}} {
			for seed := range uint64(3) {
				s, err := samples.NewPSK31(samples.PSK31Config{SampleRate: rate, Text: text, QPSK: want.QPSK, Inverted: want.Inverted, PitchHz: cutHz + 5*float64(seed)})
				if err != nil {
					t.Fatal(err)
				}
				path := samples.Path{Noise: &samples.NoiseConfig{SNRdB: 0, Seed: seed}, Seed: seed}
				if channel != "" {
					c, err := samples.FindChannel(channel)
					if err != nil {
						t.Fatal(err)
					}
					fading := c.Fading(seed)
					path.Fading = &fading
				}
				src, err := path.Through(s, s.Power())
				if err != nil {
					t.Fatal(err)
				}
				x, err := samples.ReadAll(src)
				if err != nil {
					t.Fatal(err)
				}
				if v := j.Judge(x[:8*rate], rate, nil); !v.Is || v.Settings != want || v.Characters < 8 || v.Sure < Mode.Shape.LeastSure {
					t.Errorf("%s: %v is taken for %+v", channel, want, v)
				}
			}
		}
	}
}

// What is no phase telegraphy prints two characters of 10 s at most, and is none for the judge.
func TestOthers(t *testing.T) {
	j := Mode.NewJudge()
	for _, in := range decodertest.Inputs() {
		x := in.Samples(t, 10, 3)
		if texts, _ := heard(t, &receiver{}, mode.Order{}, x); len(texts[0]) > 2 {
			t.Errorf("%s: %v", in.Name, texts)
		}
		if v := j.Judge(x[:8*rate], rate, nil); v.Is && v.Characters >= 4 && v.Sure > Mode.Shape.LeastSure {
			t.Errorf("%s: %+v", in.Name, v)
		}
	}
}

// What sounds beside other signals is phase telegraphy.
func TestBeside(t *testing.T) {
	s, err := Mode.Beside(1500)(rate, 1)
	if err != nil {
		t.Fatal(err)
	}
	x := make([]float32, 10*rate)
	if n, err := s.ReadSamples(x); n != len(x) || err != nil {
		t.Fatal(n, err)
	}
	texts, _ := heard(t, &receiver{}, mode.Order{}, x)
	if !strings.Contains(texts[0], "warning Ostrel Sea") {
		t.Errorf("%v", texts)
	}
}
