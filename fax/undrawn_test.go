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
func TestSoFar(t *testing.T) {
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
		u := d.SoFar()
		if u == nil {
			return
		}
		c := u.Draw()
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

// Charts that are drawn by another goroutine, while the decoder has long gone on, are those that the decoder draws: the
// second one too, whose sideband the first one tells.
func TestUndrawn(t *testing.T) {
	const rate, lines = 12000, 30
	var x []float32
	for i := range 2 {
		s, err := samples.NewFax(samples.FaxConfig{Picture: scenario.DenseChart(scenario.Width, lines, 1), SampleRate: rate, PhasingSeconds: 10 - 20*float64(i)})
		if err != nil {
			t.Fatal(err)
		}
		y, err := samples.ReadAll(s)
		if err != nil {
			t.Fatal(err)
		}
		x = append(x, y...)
	}
	var want, got []*fax.Chart
	var undrawn []*fax.Undrawn
	for _, e := range []fax.Events{
		{Chart: func(c *fax.Chart) { want = append(want, c) }},
		{Undrawn: func(u *fax.Undrawn) { undrawn = append(undrawn, u) }},
	} {
		d, err := fax.New(fax.Config{SampleRate: rate}, e)
		if err != nil {
			t.Fatal(err)
		}
		d.Write(x)
		d.Flush()
	}
	done := make(chan bool)
	go func() {
		for _, u := range undrawn {
			got = append(got, u.Draw())
		}
		close(done)
	}()
	<-done
	if len(want) != 2 || len(got) != len(want) {
		t.Fatalf("%d and %d charts", len(want), len(got))
	}
	for i, w := range want {
		g := got[i]
		if !bytes.Equal(g.Image.Pix, w.Image.Pix) || g.Start != w.Start || g.End != w.End || g.Drawing != w.Drawing {
			t.Errorf("chart %d differs", i)
		}
		if u := undrawn[i]; u.Start() > g.Start+rate/10 || u.End() < g.End-rate {
			t.Errorf("chart %d: %d to %d is not within %d and %d", i, g.Start, g.End, u.Start(), u.End())
		}
	}
}
