package main

import (
	"image"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"ionoscribe/internal/chartfile"
	"ionoscribe/internal/grade"
	"ionoscribe/internal/scenario"
)

// Two copies are combined into a chart that is better than either and names both; another chart is refused.
func TestCombine(t *testing.T) {
	signalsAlone(t)
	dir := t.TempDir()
	page := scenario.DenseChart(scenario.Width, 160, 4)
	receive := func(name string, m *image.Gray, args ...string) string {
		picture := filepath.Join(dir, name+".png")
		must(t, os.WriteFile(picture, pngOf(t, m), 0o666))
		status, wav, errs := try(nil, append([]string{"synth", "fax", "--rate=8000", "-o", "-", picture}, args...)...)
		if status != 0 || errs != "" {
			t.Fatal(status, errs)
		}
		status, out, errs := try([]byte(wav), "fax", "--out", filepath.Join(dir, name), "-")
		if status != 0 || errs != "" {
			t.Fatal(status, errs)
		}
		return strings.TrimSpace(out)
	}
	one := receive("one", page, "--snr=3", "--seed=1", "--clock-error=80")
	two := receive("two", page, "--snr=3", "--seed=2", "--clock-error=-50", "--tuning-error=20")
	other := receive("other", scenario.DenseChart(scenario.Width, 160, 5), "--snr=3", "--seed=3")

	status, out, errs := try(nil, "combine", one, two)
	combined := strings.TrimSuffix(one, ".png") + "-combined.png"
	if status != 0 || errs != "" || out != combined+"\n" {
		t.Fatal(status, out, errs)
	}
	fidelity := func(path string) float64 {
		m, err := chartfile.OpenPicture(path)
		must(t, err)
		db, _, _ := grade.Fidelity(page, m.(*image.Gray), 3)
		return db
	}
	a, b, both := fidelity(one), fidelity(two), fidelity(combined)
	t.Logf("%.1f dB and %.1f dB make %.1f dB", a, b, both)
	if both < max(a, b)+4 {
		t.Errorf("%.1f dB and %.1f dB make %.1f dB", a, b, both)
	}
	info, err := chartfile.ReadInfo(combined)
	must(t, err)
	if !strings.Contains(info.Source, one) || !strings.Contains(info.Source, two) || info.Differs != "" {
		t.Errorf("%+v", info)
	}

	status, out, errs = try(nil, "combine", one, other)
	if status != statusUsage || out != "" || !strings.Contains(errs, other+" does not show what "+one+" shows") {
		t.Error(status, out, errs)
	}
}
