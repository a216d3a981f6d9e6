package survey_test

import (
	"encoding/binary"
	"math"
	"testing"

	"ionoscribe/cw"
	"ionoscribe/fax"
	"ionoscribe/rtty"
	"ionoscribe/survey"
)

// Whatever the samples are, figures of what is found are numbers, and times lie within what was written.
func FuzzWrite(f *testing.F) {
	f.Add([]byte{0, 0, 128, 63, 0, 0, 128, 191, 0, 0, 192, 127}, uint16(3000))
	f.Add([]byte{1, 2, 3, 4}, uint16(479))
	f.Fuzz(func(t *testing.T, b []byte, cut uint16) {
		if len(b) < 4 {
			return
		}
		x := make([]float32, 8*rate) // what is given, again and again
		for i := range x {
			x[i] = math.Float32frombits(binary.LittleEndian.Uint32(b[i%(len(b)/4)*4:]))
		}
		s, err := survey.New(survey.Config{SampleRate: rate}, survey.Events{Ended: func(f survey.Finding) {
			for _, v := range append([]float64{f.Hz, f.LowHz, f.HighHz, f.SNR, f.Confidence}, numbers(f.Settings)...) {
				if math.IsNaN(v) || math.IsInf(v, 0) {
					t.Errorf("%+v", f)
				}
			}
			if f.Begin < 0 || f.End < f.Begin || f.End > int64(len(x)) {
				t.Errorf("from %d to %d of %d", f.Begin, f.End, len(x))
			}
		}})
		if err != nil {
			t.Fatal(err)
		}
		for y := x; len(y) > 0; y = y[min(len(y), int(cut)+1):] {
			s.Write(y[:min(len(y), int(cut)+1)])
		}
		s.Flush()
	})
}

// numbers are those of settings.
func numbers(s survey.Settings) []float64 {
	switch s := s.(type) {
	case rtty.Settings:
		return []float64{s.Baud, s.ShiftHz}
	case cw.Settings:
		return []float64{s.WPM}
	case fax.Settings:
		return []float64{s.LPM}
	}
	return nil
}
