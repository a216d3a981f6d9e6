package chartfile

import (
	"image"
	"testing"
	"time"

	"ionoscribe/demod"
	"ionoscribe/fax"
)

var zero = time.Date(2026, 3, 4, 12, 0, 0, 0, time.UTC)

// testChart is a chart of 3 lines at 120 lines a minute.
func testChart() *Chart {
	const rows, columns, period = 3, 1810, 1800
	m := image.NewGray(image.Rect(0, 0, columns, rows))
	for i := range m.Pix {
		m.Pix[i] = byte(i * 7)
	}
	v := new(fax.Video)
	z := make([]complex64, rows*period+300)
	for i := range z {
		z[i] = complex(float32(i%127)/127, -0.5)
	}
	v.Append(z)
	return New(&fax.Chart{
		Drawing:    fax.Drawing{Origin: 100, Period: period, Columns: columns, Rows: rows, OffsetHz: 8.5, DeviationHz: 400, White: 1},
		Image:      m,
		Quality:    []float32{1, 0.5, 0},
		Video:      v,
		SampleRate: 12000,
		Start:      900 * 12000,
		End:        900*12000 + 18000,
		IOC:        576, LPM: 120, ClockPPM: -12.34, SNR: 11.25,
		Began: fax.BeganStartTone, Ended: fax.EndedStopTone,
		PhaseMeasured: true, TwoLevel: true,
	}, func(i int64) time.Time { return zero.Add(demod.Rate(12000).Duration(i)) }, "clock")
}

func must(t testing.TB, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}
