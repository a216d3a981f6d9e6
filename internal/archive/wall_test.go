package archive

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"testing"
	"time"

	"ionoscribe/internal/chartfile"
)

// wall fills an archive with small charts, one an hour, of three titles in turn; every fourth of the other receiver.
func wall(t testing.TB, a *Archive, n int) {
	for i := range n {
		begun := noon.Add(time.Duration(i) * time.Hour)
		receiver := "north"
		if i%4 == 3 {
			receiver = "south"
		}
		id := a.Begin(Transmission{Receiver: receiver, Mode: "fax", OnAir: true, Hz: 7878100, Begun: begun, Copied: true, Title: fmt.Sprint("title ", i%3)})
		q := float32(i%10) / 10
		a.Chart(id, Chart{Picture: a.file(fmt.Sprint(i, ".png")), Thumbnail: []byte{1}, Info: chartfile.Info{Start: begun, End: begun.Add(10 * time.Minute), IOC: 576, LPM: 120, Lines: 2,
			Quality: chartfile.Quality{q, q}}})
		a.End(id, begun.Add(10*time.Minute))
	}
	flush(t, a)
}

// pages are the numbers of all charts that a query lists, some at a time.
func pages(t testing.TB, r *Reader, q ChartQuery) (all []int64) {
	t.Helper()
	for {
		some, err := r.Charts(context.Background(), q)
		must(t, err)
		for _, c := range some {
			all = append(all, c.Chart)
		}
		if len(some) < q.Limit || len(all) > 1000 {
			return all
		}
		q.Before = some[len(some)-1].ChartKey
	}
}

func TestCharts(t *testing.T) {
	ctx := context.Background()
	a := open(t, t.TempDir())
	wall(t, a, 24)
	five, title := 5, "title 1"
	must(t, a.Note(ctx, 9, Note{Rating: &five})) // chart 9, of title 2
	renamed := "ice"
	must(t, a.Note(ctx, 12, Note{Title: &renamed}))
	// Chart 5, of title 1, has a second version, 25.
	_, err := a.Redrawn(ctx, 5, chartfile.Changes{Invert: true}, Chart{Picture: a.file("5b.png"), Thumbnail: []byte{1}, Info: chartfile.Info{IOC: 288, LPM: 60, Lines: 9, Quality: chartfile.Quality{1}}})
	must(t, err)
	ordered := func(keep func(i int) bool) (want []int64) {
		for i := 24; i >= 1; i-- {
			if keep(i) {
				want = append(want, map[bool]int64{true: 25, false: int64(i)}[i == 5])
			}
		}
		return want
	}
	for name, c := range map[string]struct {
		q    ChartQuery
		want []int64
	}{
		"all":      {ChartQuery{}, ordered(func(int) bool { return true })},
		"title":    {ChartQuery{Title: &title}, ordered(func(i int) bool { return i%3 == 2 })},
		"renamed":  {ChartQuery{Title: &renamed}, []int64{12}},
		"untitled": {ChartQuery{Title: new(string)}, nil},
		"receiver": {ChartQuery{Receiver: "south"}, ordered(func(i int) bool { return i%4 == 0 })},
		"time":     {ChartQuery{From: noon.Add(2 * time.Hour), To: noon.Add(6 * time.Hour)}, []int64{6, 25, 4, 3}},
		"quality":  {ChartQuery{LeastQuality: 0.85}, ordered(func(i int) bool { return i%10 == 0 || i == 5 })},
		"rating":   {ChartQuery{LeastRating: 4}, []int64{9}},
		"nothing":  {ChartQuery{Favourites: true}, nil},
	} {
		c.q.Limit = 5
		if got := pages(t, &a.Reader, c.q); !slices.Equal(got, c.want) {
			t.Errorf("%s: %v\nwant %v", name, got, c.want)
		}
		if n, err := a.CountCharts(ctx, c.q); err != nil || n != len(c.want) {
			t.Errorf("%s: %d in all, %v", name, n, err)
		}
	}
	titles, err := a.Titles(ctx, ChartQuery{To: noon.Add(23 * time.Hour)})
	must(t, err)
	var got []string
	for _, x := range titles {
		got = append(got, fmt.Sprint(x.Title, " ", x.Charts, " ", x.Latest.Chart))
	}
	if want := []string{"title 1 8 23", "title 0 8 22", "title 2 6 21", "ice 1 12"}; !slices.Equal(got, want) {
		t.Errorf("%q\nwant %q", got, want)
	}
	// Each version has the same neighbours.
	for _, id := range []int64{5, 25} {
		if before, after, err := a.Neighbours(ctx, id); before != 2 || after != 8 || err != nil {
			t.Errorf("%d: between %d and %d, %v", id, before, after, err)
		}
	}
	if before, after, err := a.Neighbours(ctx, 12); before+after != 0 || err != nil {
		t.Error(before, after, err)
	}
	c, err := a.ListedChart(ctx, 25)
	must(t, err)
	if c.Versions != 2 || c.IOC != 288 || c.Lines != 9 || c.Title != title || c.Hz != 7878100 || !c.OnAir || !c.Begun.Equal(noon.Add(4*time.Hour)) {
		t.Errorf("%+v", c)
	}
	if _, err := a.ListedChart(ctx, 99); !errors.Is(err, ErrNoChart) {
		t.Error(err)
	}
	if _, _, err := a.Neighbours(ctx, 99); !errors.Is(err, ErrNoChart) {
		t.Error(err)
	}
}
