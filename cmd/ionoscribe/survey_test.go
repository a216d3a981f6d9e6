package main

import (
	"encoding/binary"
	"encoding/json"
	"image/png"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"ionoscribe/samples"
)

// morse is a recording of Morse at 1000 Hz.
func morse(t *testing.T) []byte {
	t.Helper()
	s, err := samples.NewCW(samples.CWConfig{Text: strings.Repeat("GALE WARNING OSTREL ", 3), PitchHz: 1000, SampleRate: 8000})
	must(t, err)
	n, err := samples.NewNoise(s, samples.NoiseConfig{SNRdB: 10, SignalPower: s.Power(), Seed: 1})
	must(t, err)
	x, err := samples.ReadAll(n)
	must(t, err)
	var b []byte
	for _, v := range x {
		b = binary.LittleEndian.AppendUint16(b, uint16(int16(math.Round(float64(v)*8000))))
	}
	return append(wavHeader(8000, 1, len(b)), b...)
}

func TestSurvey(t *testing.T) {
	source := put(t, "night.wav", morse(t))
	picture := filepath.Join(t.TempDir(), "night.png")
	status, out, errs := try(nil, "survey", "--start=2026-03-04T12:15:00Z", "--dial=7000000", "--sideband=lower", "--picture", picture, source)
	if status != 0 || errs != "" || strings.Count(out, "\n") != 2 || !strings.Contains(out, "2026-03-04T12:15:01Z") || !strings.Contains(out, "6999000  cw") ||
		!strings.Contains(out, "20 words a minute") {
		t.Errorf("%d %q %q", status, out, errs)
	}
	f, err := os.Open(picture)
	must(t, err)
	defer f.Close()
	if _, err := png.Decode(f); err != nil {
		t.Error(err)
	}
	status, out, errs = try(nil, "survey", "--json", source)
	var e struct {
		Kind string  `json:"kind"`
		Hz   float64 `json:"hz"`
		WPM  float64 `json:"wpm"`
	}
	if err := json.Unmarshal([]byte(out), &e); err != nil || status != 0 || e.Kind != "cw" || math.Abs(e.Hz-1000) > 1 || math.Abs(e.WPM-20) > 1 {
		t.Errorf("%d %q %q %v", status, out, errs, err)
	}
}

func TestSurveyFinds(t *testing.T) {
	silence := put(t, "silence.wav", append(wavHeader(8000, 1, 160000), make([]byte, 160000)...))
	for _, c := range []struct {
		args   []string
		status int
	}{
		{[]string{"survey", silence}, statusNoChart},
		{[]string{"survey", "--sideband=left", silence}, statusUsage},
		{[]string{"survey", "--dial=-1", silence}, statusUsage},
		{[]string{"survey", "--picture=" + filepath.Join(t.TempDir(), "absent", "x.png"), silence}, statusUsage},
		{[]string{"survey", "--picture=/dev/full", silence}, statusFailed},
		{[]string{"survey", "absent.wav"}, statusFailed},
		{[]string{"survey"}, statusUsage},
		{[]string{"grade", "survey", "--scenes=0"}, statusUsage},
	} {
		status, _, errs := try(nil, c.args...)
		if status != c.status || !strings.HasPrefix(errs, "ionoscribe: ") {
			t.Errorf("%v: %d %q", c.args, status, errs)
		}
	}
}
