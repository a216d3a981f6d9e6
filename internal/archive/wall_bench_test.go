//go:build unix

package archive

import (
	"context"
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"testing"
	"time"

	"ionoscribe/internal/chartfile"
)

var (
	benchCharts = flag.Int("charts", 100_000, "charts in the archive of BenchmarkWall")
	benchWall   = flag.String("wall", "", "folder of the archive of BenchmarkWall, which is made if it is not there")
)

// hang fills an archive with charts of 30 titles and 3 receivers, one every ten minutes, without their files.
func hang(b testing.TB, a *Archive, n int) {
	r := rand.New(rand.NewPCG(5, 1))
	thumbnail := make([]byte, 6000)
	for i := range n {
		begun := noon.Add(time.Duration(i) * 10 * time.Minute)
		id := a.Begin(Transmission{Receiver: []string{"north", "south", "west"}[r.IntN(3)], Mode: "fax", OnAir: true, Hz: 7878100, Begun: begun, Copied: true,
			Title: fmt.Sprint("Chart of kind ", i*7%30), Rating: max(0, r.IntN(200)-194)})
		q := make(chartfile.Quality, 1200)
		mean := r.Float32()
		for k := range q {
			q[k] = mean
		}
		a.Chart(id, Chart{Picture: a.file(fmt.Sprint(i, ".png")), Thumbnail: thumbnail, Info: chartfile.Info{Start: begun, End: begun.Add(10 * time.Minute), IOC: 576, LPM: 120, Lines: 1200, Quality: q}})
		a.End(id, begun.Add(10*time.Minute))
		if i%500 == 499 {
			flush(b, a)
		}
	}
	flush(b, a)
}

// BenchmarkWall reports the time of a page of the wall of charts, and of what else is looked up among many charts.
func BenchmarkWall(b *testing.B) {
	dir := *benchWall
	if dir == "" {
		dir = b.TempDir()
	}
	if _, err := os.Stat(dir + "/" + Name); err != nil {
		began := time.Now()
		a := open(b, dir)
		hang(b, a, *benchCharts)
		must(b, a.Close())
		b.Logf("%d charts written in %v", *benchCharts, time.Since(began))
	}
	r, err := OpenReader(dir)
	must(b, err)
	defer r.Close()
	ctx := context.Background()
	id := int64(*benchCharts / 2)
	half, err := r.ListedChart(ctx, id)
	must(b, err)
	title := half.Title
	early := ChartKey{noon.Add(24 * time.Hour), 145}
	measure := func(name string, f func() (int, error)) {
		b.Run(name, func(b *testing.B) {
			n, done, began := 0, 0, processor()
			for b.Loop() {
				var err error
				n, err = f()
				must(b, err)
				done++
			}
			b.ReportMetric(float64(n), "found")
			b.ReportMetric(float64(processor()-began)/1e6/float64(done), "cpu-ms/op")
		})
	}
	page := func(name string, q ChartQuery) {
		measure("page/"+name, func() (int, error) {
			all, err := r.Charts(ctx, q)
			return len(all), err
		})
	}
	page("first", ChartQuery{})
	page("middle", ChartQuery{Before: half.ChartKey})
	page("last", ChartQuery{Before: early})
	page("title", ChartQuery{Title: &title, Before: half.ChartKey})
	page("receiver", ChartQuery{Receiver: "west", Before: half.ChartKey})
	page("quality", ChartQuery{LeastQuality: 0.9, Before: half.ChartKey})
	page("rating", ChartQuery{LeastRating: 5})
	page("nothing", ChartQuery{Favourites: true})
	page("month", ChartQuery{From: half.Begun, To: half.Begun.AddDate(0, 1, 0)})
	measure("count", func() (int, error) { return r.CountCharts(ctx, ChartQuery{}) })
	measure("count of a quality", func() (int, error) { return r.CountCharts(ctx, ChartQuery{LeastQuality: 0.9}) })
	titles := func(name string, q ChartQuery) {
		measure("titles/"+name, func() (int, error) {
			all, err := r.Titles(ctx, q)
			return len(all), err
		})
	}
	titles("all", ChartQuery{})
	titles("quality", ChartQuery{LeastQuality: 0.9})
	measure("neighbours", func() (int, error) {
		_, _, err := r.Neighbours(ctx, id)
		return 2, err
	})
	measure("day", func() (int, error) {
		all, err := r.During(ctx, half.Begun, half.Begun.AddDate(0, 0, 1), 5000)
		return len(all), err
	})
	measure("band, 4 weeks", func() (int, error) {
		m, err := r.Band(ctx, half.Begun.AddDate(0, 0, -28), half.Begun, half.Begun, "")
		return len(m.Cells), err
	})
	measure("band, a year", func() (int, error) {
		m, err := r.Band(ctx, half.Begun.AddDate(-1, 0, 0), half.Begun, half.Begun, "")
		return len(m.Cells), err
	})
}
