package station

import (
	"context"
	"maps"
	"slices"
	"strings"
	"testing"
	"time"

	"ionoscribe/copydesk"
	"ionoscribe/internal/archive"
	"ionoscribe/internal/stationfile"
)

// News have the numbers of the archive: a chart can be found in it when that is told, and a text is what its characters were. A tap
// gets every sample once and in order.
func TestNews(t *testing.T) {
	f := &fake{begin: time.Date(2031, 5, 4, 12, 0, 0, 0, time.UTC)}
	want := slices.Concat(broadcast("rtty", 1, 16, strings.Repeat("GALE WARNING ", 4)), broadcast("fax", 2, 20, ""))
	in := f.input(func(_ context.Context, take func(Block)) error {
		f.play(take, want)
		return nil
	})
	in.Live = false
	c := &stationfile.Config{Name: "test", Receivers: []stationfile.Receiver{{Name: "a"}}}
	s, err := Open(t.TempDir(), c, Options{BySamples: true, Open: func(context.Context, stationfile.Receiver, float64) (*Input, error) { return in, nil }})
	must(t, err)
	var (
		samples    []float32
		texts      = map[archive.ID]string{}
		began      = map[archive.ID]bool{}
		ended      = map[archive.ID]bool{}
		saved      int
		drawn      int
		lines      int
		unfindable []error
	)
	s.Tap(func(receiver string, from *Input, at int64, b Block) {
		if receiver != "a" || from != in || at != int64(len(samples)) {
			t.Errorf("%d samples of %s at %d after %d", b.Len(), receiver, at, len(samples))
		}
		samples = append(samples, b.Audio...)
	})
	s.Follow(func(n News) {
		id := n.Transmission.ID
		if id == 0 || ended[id] && n.What != Saved || !began[id] && n.What != copydesk.Began {
			t.Errorf("%s of transmission %d, which began: %v, and ended: %v", n.What, id, began[id], ended[id])
		}
		switch n.What {
		case copydesk.Began:
			began[id] = true
		case copydesk.Ended:
			ended[id] = true
		case copydesk.Text:
			texts[id] += n.Text
		case copydesk.Line:
			lines++
		case copydesk.Chart:
			drawn++
		case Saved:
			saved++
			r, err := s.Archive().Transmission(context.Background(), id)
			if err != nil || !slices.ContainsFunc(r.Charts, func(c archive.Chart) bool { return int64(c.ID) == n.Chart }) || n.Transmission.Quality == 0 {
				unfindable = append(unfindable, err)
			}
		}
	})
	must(t, s.Run(t.Context()))
	if !slices.Equal(samples, want) {
		t.Errorf("the tap got %d samples of %d", len(samples), len(want))
	}
	if drawn == 0 || saved != drawn || lines == 0 || len(unfindable) > 0 {
		t.Errorf("%d charts with %d lines are drawn, %d saved, %d of those cannot be found: %v", drawn, lines, saved, len(unfindable), unfindable)
	}
	var printed string
	for id, text := range texts {
		printed += text
		if !ended[id] {
			t.Errorf("transmission %d has not ended", id)
		}
	}
	if !strings.Contains(printed, "GALE WARNING GALE WARNING") {
		t.Errorf("%q", printed)
	}
}

// What goes on when a fault of the program ends a receiver's connection has ended for all.
func TestNewsOfFault(t *testing.T) {
	f := &fake{begin: time.Date(2031, 5, 4, 12, 0, 0, 0, time.UTC)}
	opened := 0
	c := &stationfile.Config{Name: "test", Receivers: []stationfile.Receiver{{Name: "a"}}}
	s, err := Open(t.TempDir(), c, Options{BySamples: true, Open: func(context.Context, stationfile.Receiver, float64) (*Input, error) {
		in := f.input(func(_ context.Context, take func(Block)) error {
			if opened++; opened == 1 {
				f.play(take, broadcast("rtty", 1, 0, strings.Repeat("GALE WARNING ", 4)))
				panic("a fault")
			}
			return nil
		})
		return in, nil
	}})
	must(t, err)
	began, ended := map[archive.ID]bool{}, map[archive.ID]bool{}
	s.Follow(func(n News) {
		switch n.What {
		case copydesk.Began:
			began[n.Transmission.ID] = true
		case copydesk.Ended:
			if ended[n.Transmission.ID] || n.Transmission.State != archive.Complete {
				t.Errorf("%+v has ended", n.Transmission)
			}
			ended[n.Transmission.ID] = true
		}
	})
	must(t, s.Run(t.Context()))
	if len(began) == 0 || !maps.Equal(began, ended) {
		t.Errorf("%v began, and %v ended", began, ended)
	}
}
