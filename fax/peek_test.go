package fax_test

import (
	"bytes"
	"image"
	"testing"

	"ionoscribe/fax"
	"ionoscribe/internal/scenario"
	"ionoscribe/samples"
)

// A chart can be looked at while it is coming in, and comes out the same afterwards.
func TestPeek(t *testing.T) {
	const rate, lines = 8000, 60
	s, err := samples.NewFax(samples.FaxConfig{Picture: scenario.DenseChart(scenario.Width, lines, 1), SampleRate: rate})
	if err != nil {
		t.Fatal(err)
	}
	x, err := samples.ReadAll(s)
	if err != nil {
		t.Fatal(err)
	}
	receive := func(look func(d *fax.Decoder, second int)) *image.Gray {
		var m *image.Gray
		d, err := fax.New(fax.Config{SampleRate: rate}, fax.Events{Chart: func(c *fax.Chart) { m = c.Image }})
		if err != nil {
			t.Fatal(err)
		}
		for i := 0; i < len(x); i += rate {
			d.Write(x[i:min(i+rate, len(x))])
			look(d, i/rate)
		}
		d.Flush()
		return m
	}
	last := 0
	seen := receive(func(d *fax.Decoder, second int) {
		if second%10 != 5 {
			return
		}
		c := d.Peek()
		if c == nil {
			return
		}
		if c.Rows < last {
			t.Errorf("%d rows after %d s, %d before", c.Rows, second, last)
		}
		last = max(last, c.Rows)
	})
	if last < lines/2 {
		t.Errorf("%d rows were seen of %d", last, lines)
	}
	if plain := receive(func(*fax.Decoder, int) {}); !bytes.Equal(plain.Pix, seen.Pix) {
		t.Error("looking at it changes the chart")
	}
}
