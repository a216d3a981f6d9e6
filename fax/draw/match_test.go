package draw

import (
	"context"
	"errors"
	"image"
	"testing"

	"ionoscribe/internal/scenario"
)

// Charts of an office on the same map or form, whose content is another, are no copies: they have less than LeastLikeness even without
// noise. A picture is like itself.
func TestSameMapIsNoCopy(t *testing.T) {
	page := func(style string, seed uint64) *image.Gray {
		return scenario.Layout{Style: style, Left: 40, Right: 40, Frame: 3, Top: true, Bottom: true, Seed: seed}.Draw(scenario.Width, 400)
	}
	upon := func(a, b *image.Gray) *cells {
		m := image.NewGray(a.Rect)
		for i := range m.Pix {
			m.Pix[i] = min(a.Pix[i], b.Pix[i])
		}
		return newCells(m)
	}
	for _, base := range []string{"coast", "side legend", "table"} {
		for _, content := range []string{"isobars", "stations"} {
			m := page(base, 101)
			a, b := upon(m, page(content, 1)), upon(m, page(content, 20))
			if v := a.likeness(b); v >= LeastLikeness {
				t.Errorf("%s on the same %s: likeness %.2f", content, base, v)
			}
			if v := a.likeness(a); v < 0.999 {
				t.Errorf("%s on %s is like itself by %.3f", content, base, v)
			}
		}
	}
}

// What is too small to be laid upon anything is refused, and who does not want the result any more gets the context's error.
func TestMatchRefuses(t *testing.T) {
	v := new(Video)
	small := Drawing{Period: 1800, Columns: 4, Rows: 4, DeviationHz: 400, White: 1}
	if _, err := Combine(t.Context(), []Copy{{v, small}, {v, small}}); !errors.Is(err, ErrOther) {
		t.Error(err)
	}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	large := Drawing{Period: 1800, Columns: 1810, Rows: 20, DeviationHz: 400, White: 1}
	if _, err := Combine(ctx, []Copy{{v, large}, {v, large}}); !errors.Is(err, context.Canceled) {
		t.Error(err)
	}
}
