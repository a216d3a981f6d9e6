package survey

import (
	"image"
	"math/rand/v2"
	"testing"

	"ionoscribe/cw"
	"ionoscribe/fax"
	"ionoscribe/rtty"
)

// No two names overlap, however many there are; none leaves the spectrogram; all findings
// are named, there or in the legend.
func TestNames(t *testing.T) {
	for _, many := range []int{1, 14, 24, 60, 150} {
		rng := rand.New(rand.NewPCG(1, uint64(many)))
		p := &Picture{bins: 580, rows: 580, lowHz: 200, rowHz: 5.86, rate: 12000, hop: 1024, seen: 42000, each: 30, columns: 1400}
		for range many {
			k := rng.IntN(5)
			f := Finding{Kind: []Kind{Other, Carrier, "cw", "rtty", "fax"}[k], Begin: rng.Int64N(40e6), Hz: 300 + 3000*rng.Float64(),
				Settings: []Settings{nil, nil, cw.Settings{WPM: 22}, rtty.Settings{Baud: 50, ShiftHz: 170}, fax.Settings{LPM: 120, IOC: 576}}[k]}
			f.End = f.Begin + 600_000 + rng.Int64N(4e6)
			half := []float64{400, 5, 15, 110, 470}[k]
			f.LowHz, f.HighHz = f.Hz-half, f.Hz+half
			p.mark(f)
		}
		d := &drawing{p: p, in: image.Rect(90, 40, 90+1400, 40+580), face: fontFace(textSize), marks: p.marks, axes: Axes{Hz: func(hz float64) float64 { return hz }}}
		names, legend := d.layOut()
		full := 0
		for i, n := range names {
			if len(n.text) > 3 {
				full++
			}
			if !n.box.In(d.in) || n.box.Dx() < d.width(n.text) {
				t.Errorf("%d: %s at %v", many, n.text, n.box)
			}
			for _, o := range names[:i] {
				if n.box.Overlaps(o.box) {
					t.Errorf("%d: %s and %s overlap", many, n.text, o.text)
				}
			}
		}
		if full+len(legend) != many && len(legend) <= mostLegend {
			t.Errorf("%d findings: %d names, and %d in the legend", many, full, len(legend))
		}
		if columns, lines := d.columns(legend); columns*lines < len(legend) {
			t.Errorf("%d columns of %d for %d", columns, lines, len(legend))
		}
		t.Logf("%d findings: %d named, %d in the legend", many, full, len(legend))
	}
}
