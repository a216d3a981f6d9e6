package dsc

import (
	"encoding/json"
	"strings"
	"testing"

	"ionoscribe/internal/mode"
	"ionoscribe/rtty/dsc"
	"ionoscribe/samples"
)

const rate = 8000

const (
	distress = "distress alert; from 299000001; nature sinking; position unknown; time unknown; then J3E telephone"
	safety   = "all ships call; category safety; from 002990001; telecommand J3E telephone; second telecommand no information; receive on 2182.0 kHz; transmit on none"
)

// recording is some calls in noise.
func recording(t *testing.T, s sender, text string) []float32 {
	t.Helper()
	s.DSCConfig.SampleRate = rate
	sound, err := s.Sound(text, 0.5, 1)
	if err != nil {
		t.Fatal(err)
	}
	n, err := samples.NewNoise(sound, samples.NoiseConfig{SNRdB: 5, SignalPower: sound.Power(), Seed: 1})
	if err != nil {
		t.Fatal(err)
	}
	x, err := samples.ReadAll(n)
	if err != nil {
		t.Fatal(err)
	}
	return x
}

// heard is what a receiver tells of samples.
func heard(t *testing.T, r *receiver, x []float32) (all []mode.Heard) {
	t.Helper()
	d, err := r.NewDecoder(mode.Order{SampleRate: rate}, mode.Told{Text: func(h mode.Heard) { all = append(all, h) }})
	if err != nil {
		t.Fatal(err)
	}
	d.Write(x)
	d.Flush()
	return all
}

// A distress call stands out, with the caution, in print and as JSON; others are printed plainly, those of VHF too.
func TestReceiver(t *testing.T) {
	got := heard(t, new(receiver), recording(t, sender{pauseSeconds: 2}, distress+"\n"+safety+"\n"))
	want := []string{"!! " + distress + "; end none (" + caution + ")\n", safety + "; end none\n"}
	if len(got) != len(want) {
		t.Fatalf("%+v", got)
	}
	for i, h := range got {
		if h.Text != want[i] || h.Confidence < 0.9999 {
			t.Errorf("%q, %v", h.Text, h.Confidence)
		}
	}
	b, err := json.Marshal(got[0].Fields)
	if err != nil {
		t.Fatal(err)
	}
	for _, part := range []string{`"ok":true`, `"from":"299000001"`, `"symbols":[112,29,90,0,0,10,105,99,`, `"caution":"` + caution} {
		if !strings.Contains(string(b), part) {
			t.Errorf("%s is not in %s", part, b)
		}
	}
	vhf := sender{}
	vhf.VHF = true
	if got := heard(t, &receiver{vhf: true}, recording(t, vhf, safety)); len(got) != 1 || got[0].Text != safety+"; end none\n" {
		t.Errorf("VHF: %+v", got)
	}
}

// What does not pass is shown as failed, its doubtful symbols not at all, and has no parts in JSON.
func TestFailed(t *testing.T) {
	r := &dsc.Reception{Call: dsc.Call{Symbols: []dsc.Symbol{112, 29, 5}, End: 127}, Confidence: []float64{1, 0.5, 0.95}, Sure: 0.1}
	if got := line(r); got != "failed call, of which nothing is certain: symbols 112 ?? 5\n" {
		t.Error(got)
	}
	if f := callFieldsOf(r); f.Call.OK || f.Call.Parts != nil {
		t.Errorf("%+v", f)
	}
	if got := line(new(dsc.Reception)); got != "failed call, of which nothing is certain: its end was not heard\n" {
		t.Error(got)
	}
}

func TestSender(t *testing.T) {
	for _, text := range []string{"", "\n\n", "hello", safety + "\nhello"} {
		if _, err := new(sender).Sound(text, 0.5, 1); err == nil {
			t.Errorf("%q is sent", text)
		}
	}
	if _, err := (&sender{pauseSeconds: -1}).Sound(safety, 0.5, 1); err == nil {
		t.Error("a pause of less than nothing is taken")
	}
	// What was printed can be sent again.
	if _, err := new(sender).Sound("!! "+distress+"; end none ("+caution+")\n", 0.5, 1); err != nil {
		t.Error(err)
	}
}

// A call is told from radioteletype and mode B.
func TestJudge(t *testing.T) {
	j := Mode.NewJudge()
	if v := j.Judge(recording(t, sender{}, distress), rate, nil); !v.Is || v.Sure < Mode.Shape.LeastSure || v.Hz < cutHz-3 || v.Hz > cutHz+3 {
		t.Errorf("%+v", v)
	}
	text := strings.Repeat("GALE WARNING ", 10)
	tele, err := samples.NewRTTY(samples.RTTYConfig{SampleRate: rate, Text: text, Baud: 100, CentreHz: cutHz})
	if err != nil {
		t.Fatal(err)
	}
	b, err := samples.NewModeB(samples.ModeBConfig{Text: text, KeyedConfig: samples.KeyedConfig{SampleRate: rate}})
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range []samples.Signal{tele, b} {
		x, err := samples.ReadAll(s)
		if err != nil {
			t.Fatal(err)
		}
		if v := j.Judge(x, rate, nil); v.Is {
			t.Errorf("%T: %+v", s, v)
		}
	}
}
