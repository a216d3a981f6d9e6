package main

import (
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

func TestFrequency(t *testing.T) {
	for text, want := range map[string]float64{
		"7878100": 7878100, "7878.1kHz": 7878100, "7.8781MHz": 7878100, "7.8781 mhz": 7878100, "7878100Hz": 7878100, "0": 0, "1GHz": 1e9,
		"": -1, "kHz": -1, "7,8MHz": -1, "-5": -1, "NaN": -1, "Inf": -1, "1e300MHz": -1, "7878.1 kHz kHz": -1, "7878.1kc": -1,
	} {
		var f frequency
		err := f.Set(text)
		if (err != nil) != (want < 0) || err == nil && math.Abs(float64(f)-want) > 1e-6 {
			t.Errorf("%q: %v, %v", text, f, err)
		}
	}
	for text, want := range map[string]float64{"+5500": 5500, "-5.5kHz": -5500, "7045.5kHz": 5500} {
		var v tuning
		must(t, v.Set(text))
		if from, err := v.from(7040000); err != nil || math.Abs(from-want) > 1e-6 {
			t.Errorf("%q: %g, %v", text, from, err)
		}
	}
	var v tuning
	must(t, v.Set("7045.5kHz"))
	if _, err := v.from(0); err == nil || !strings.Contains(err.Error(), "give --dial") {
		t.Error(err)
	}
}

// A source's own settings win over the flags, and are told wrong in a sentence. A file with such a name is that file.
func TestOwnSettings(t *testing.T) {
	o := sourceOptions{dial: 7e6, channels: 1, channel: "left"}
	odd := put(t, "night.wav?channel=right", nil)
	for source, want := range map[string]struct {
		path, channel string
		dial          float64
		rate          float64
	}{
		"night.wav":                                     {"night.wav", "left", 7e6, 0},
		"night.wav?channel=right&dial=4610kHz":          {"night.wav", "right", 4610e3, 0},
		"device:left?dial=7.8781MHz":                    {"device:left", "left", 7878100, 0},
		"rtp://239.1.2.3:5004?interface=eth0":           {"rtp://239.1.2.3:5004?interface=eth0", "left", 7e6, 0},
		"rtp://239.1.2.3:5004?rate=8000&interface=eth0": {"rtp://239.1.2.3:5004?interface=eth0", "left", 7e6, 8000},
		odd: {odd, "left", 7e6, 0},
	} {
		path, own, err := o.at(source)
		if err != nil || path != want.path || own.channel != want.channel || math.Abs(float64(own.dial)-want.dial) > 1e-6 || own.rate != want.rate {
			t.Errorf("%s: %s, %+v, %v", source, path, own, err)
		}
	}
	for source, want := range map[string]string{
		"a.wav?dail=5":         `no setting "dail"; did you mean dial?`,
		"a.wav?dial=high":      `--dial "high" is not a frequency such as 7878.1kHz`,
		"a.wav?rate=fast":      `--rate "fast" is not a number`,
		"device:left?colour=1": `no setting "colour"`,
	} {
		if _, _, err := o.at(source); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v", source, err)
		}
	}
}

// Two channels of one recording are two receivers, each with its own dial; each has its own files.
func TestTwoDials(t *testing.T) {
	signalsAlone(t)
	status, wav, errs := try(nil, "synth", "rtty", bulletin, "--rate=8000", "--snr=10", "--lead=4", "--trail=4", "-o", "-")
	if status != 0 {
		t.Fatal(errs)
	}
	mono := []byte(wav)[44:]
	stereo := wavHeader(8000, 2, 2*len(mono))
	for i := 0; i+1 < len(mono); i += 2 {
		stereo = append(append(stereo, mono[i:i+2]...), mono[i:i+2]...)
	}
	file, dir := put(t, "both.wav", stereo), t.TempDir()
	status, out, errs := try(nil, "copy", "-o", dir, file+"?dial=7000kHz", file+"?channel=right&dial=4MHz")
	if status != 0 || errs != "" {
		t.Fatal(status, errs)
	}
	for _, hz := range []string{"7002.21kHz", "4002.21kHz"} {
		files, _ := filepath.Glob(filepath.Join(dir, "*_"+hz+"_rtty_both.txt"))
		if len(files) != 1 {
			t.Fatal(hz, files, out)
		}
		b, err := os.ReadFile(files[0])
		must(t, err)
		if !strings.Contains(withoutStamps(string(b)), bulletin) {
			t.Errorf("%q", b)
		}
	}
}
