package fax_test

import (
	"encoding/csv"
	"math"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"ionoscribe/fax"
)

// The constants are those of testdata/standards.csv, which names the sources.
func TestStandards(t *testing.T) {
	file, err := os.Open("testdata/standards.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	r := csv.NewReader(file)
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	table := map[string][]float64{}
	for _, row := range rows[1:] {
		for _, s := range strings.Split(row[1], ";") {
			v, err := strconv.ParseFloat(strings.TrimSpace(s), 64)
			if err != nil {
				t.Fatal(err)
			}
			table[row[0]] = append(table[row[0]], v)
		}
	}
	have := map[string][]float64{
		"index of cooperation":              {576, 288},
		"lines a minute":                    fax.LineRates[:3],
		"lines a minute (also)":             fax.LineRates[3:],
		"start signal 576 (Hz)":             {fax.StartHz576},
		"start signal 288 (Hz)":             {fax.StartHz288},
		"stop signal (Hz)":                  {fax.StopHz},
		"phasing pulse (share of the line)": {fax.PulseShare},
		"dead sector (share of the line)":   {fax.DeadSectorShare},
		"HF carrier shift (Hz)":             {fax.DeviationHz},
		"LF carrier shift (Hz)":             {fax.DeviationLFHz},
		"sub-carrier (Hz)":                  {fax.CentreHz},
		"black and white (Hz)":              {fax.CentreHz - fax.DeviationHz, fax.CentreHz + fax.DeviationHz},
	}
	for what, want := range table {
		if what == "picture elements a line" {
			for i, ioc := range []int{576, 288} {
				if n := fax.Columns(ioc); math.Abs(float64(n)-want[i]) > 0.5 {
					t.Errorf("%d columns at IOC %d, want %v", n, ioc, want[i])
				}
			}
		} else if !slices.Equal(have[what], want) {
			t.Errorf("%s: %v, want %v", what, have[what], want)
		}
	}
	for _, lpm := range slices.Concat(table["lines a minute"], table["lines a minute (also)"]) {
		if _, err := fax.New(fax.Config{SampleRate: 12000, LPM: lpm}, fax.Events{}); err != nil {
			t.Error(err)
		}
	}
}

// What New refuses: each with one line that names the value.
func TestConfigRefused(t *testing.T) {
	nan := math.NaN()
	for _, c := range []fax.Config{
		{}, {SampleRate: 5999}, {SampleRate: 192001}, {SampleRate: nan}, {SampleRate: math.Inf(1)},
		{SampleRate: 12000, IOC: 300}, {SampleRate: 12000, LPM: 100}, {SampleRate: 12000, LPM: nan},
		{SampleRate: 12000, CentreHz: 500}, {SampleRate: 12000, CentreHz: nan}, {SampleRate: 12000, DeviationHz: 50},
		{SampleRate: 12000, DeviationHz: nan}, {SampleRate: 12000, Sideband: 3}, {SampleRate: 12000, Sideband: -1},
		{SampleRate: 12000, LineStart: 1.5}, {SampleRate: 12000, LineStart: nan}, {SampleRate: 12000, LossSeconds: 1},
		{SampleRate: 12000, LossSeconds: nan},
	} {
		if _, err := fax.New(c, fax.Events{}); err == nil || !strings.HasPrefix(err.Error(), "fax: ") || strings.Contains(err.Error(), "\n") {
			t.Errorf("%+v: %v", c, err)
		}
	}
}
