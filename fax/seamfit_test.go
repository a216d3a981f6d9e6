package fax_test

import (
	"compress/gzip"
	"encoding/gob"
	"flag"
	"fmt"
	"math"
	"os"
	"runtime"
	"sync"
	"testing"

	"ionoscribe/fax"
	"ionoscribe/internal/grade"
	"ionoscribe/internal/scenario"
)

var (
	fitSeam  = flag.Int("fitseam", 0, "fit the weights of the seam's evidence to so many charts")
	fitFirst = flag.Int("fitfirst", 1, "the first seed")
	fitCache = flag.String("fitcache", "", "file that keeps their evidence")
)

type seamPage struct {
	Style  string
	Levels []int8
	Rows   int
	Truth  float64 // as a share of the line
}

// TestFitSeam fits the weights with which the evidence for a line start is weighed, by the maximum likelihood of where
// it truly is, and prints them: go test -run FitSeam -timeout 2h ./fax -args -fitseam 1000.
func TestFitSeam(t *testing.T) {
	if *fitSeam == 0 {
		return
	}
	var pages []seamPage
	if f, err := os.Open(*fitCache); err == nil {
		z, err := gzip.NewReader(f)
		if err != nil {
			t.Fatal(err)
		}
		if err := gob.NewDecoder(z).Decode(&pages); err != nil {
			t.Fatal(err)
		}
	} else {
		pages = seamPages(t, *fitSeam)
		if *fitCache != "" {
			f, err := os.Create(*fitCache)
			if err != nil {
				t.Fatal(err)
			}
			z := gzip.NewWriter(f)
			if err := gob.NewEncoder(z).Encode(pages); err != nil {
				t.Fatal(err)
			}
			z.Close()
		}
	}
	fitWeights(pages)
}

func seamPages(t *testing.T, n int) []seamPage {
	pages := make([]seamPage, n)
	var wg sync.WaitGroup
	seeds := make(chan int)
	for range runtime.GOMAXPROCS(0) {
		wg.Add(1)
		go func() {
			defer wg.Done()
			for i := range seeds {
				layout, trial, rows, skipped := grade.JoinedTrial(uint64(*fitFirst + i))
				m := layout.Draw(scenario.Width, rows)
				_, middle := grade.SeamOf(m, skipped+1)
				r, err := trial.Run(m)
				if err != nil {
					continue
				}
				// The page is looked at with the right clock: what a lean does to it is another matter.
				d := r.Chart.Drawing
				half := float64(d.Rows / 2)
				centre := d.Origin + half*d.Period
				d.Period /= 1 + r.ClockPixels/float64((rows-skipped)*scenario.Width)
				d.Origin = centre - half*d.Period
				start := (middle - r.StartPixels) / scenario.Width
				levels, rows := fax.PageLevels(r.Chart.Video, d)
				pages[i] = seamPage{layout.Style, levels, rows, start - math.Floor(start)}
			}
		}()
	}
	for i := range n {
		seeds <- i
	}
	close(seeds)
	wg.Wait()
	return pages
}

// fitWeights: place i of a page has the score w·f(i), none of them the score 0, and probability goes as exp(score).
func fitWeights(pages []seamPage) {
	const tolerance = 3.0 / scenario.Width
	var n int
	type example struct {
		places []fax.SeamPlace
		right  []bool
		any    bool
		page   int
	}
	var all []example
	for i, p := range pages {
		if p.Rows == 0 {
			continue
		}
		places := fax.SeamPlaces(p.Levels, p.Rows)
		n = len(places[0].Features)
		e := example{places: places, right: make([]bool, len(places)), page: i}
		for k, c := range places {
			if math.Abs(math.Remainder(c.Middle-p.Truth, 1)) <= tolerance {
				e.right[k], e.any = true, true
			}
		}
		all = append(all, e)
	}
	w, step, last := make([]float64, n), make([]float64, n), make([]float64, n)
	for k := range step {
		step[k] = 0.05
	}
	score := make([]float64, 0, 4000)
	posterior := func(e example) (none float64) {
		score = score[:0]
		top := 0.0
		for _, c := range e.places {
			s := 0.0
			for k, f := range c.Features {
				s += w[k] * f
			}
			score = append(score, s)
			top = max(top, s)
		}
		sum := math.Exp(-top)
		for i := range score {
			score[i] = math.Exp(score[i] - top)
			sum += score[i]
		}
		for i := range score {
			score[i] /= sum
		}
		return math.Exp(-top) / sum
	}
	for round := range 400 {
		gradient := make([]float64, n)
		loss := 0.0
		for _, e := range all {
			none := posterior(e)
			mass := 0.0
			for i, r := range e.right {
				if r {
					mass += score[i]
				}
			}
			if !e.any {
				mass = none
			}
			mass = max(mass, 1e-9)
			loss -= math.Log(mass)
			for i, c := range e.places {
				g := -score[i]
				if e.right[i] {
					g += score[i] / mass
				}
				if math.Abs(g) > 1e-6 {
					for k, f := range c.Features {
						gradient[k] += g * f
					}
				}
			}
		}
		for k := range w { // resilient steps, with a weak pull to zero (ridge)
			gradient[k] -= 0.3 * w[k]
			switch s := gradient[k] * last[k]; {
			case s > 0:
				step[k] = min(step[k]*1.2, 1)
			case s < 0:
				step[k] = max(step[k]*0.5, 1e-4)
			}
			w[k] += math.Copysign(step[k], gradient[k])
			last[k] = gradient[k]
		}
		if round%50 == 49 {
			fmt.Printf("round %d: %.4f nats a page\n", round, loss/float64(len(all)))
		}
	}
	for k, v := range w {
		fmt.Printf("%2d %8.3f\n", k, v)
	}
	type count struct{ n, right, sure, both, none int }
	rows := map[string]*count{}
	for _, e := range all {
		posterior(e)
		best := 0
		for i, s := range score {
			if s > score[best] {
				best = i
			}
		}
		sure := 0.0
		for i, c := range e.places {
			if math.Abs(math.Remainder(c.Middle-e.places[best].Middle, 1)) <= tolerance {
				sure += score[i]
			}
		}
		for _, name := range []string{pages[e.page].Style, "~ all"} {
			r := rows[name]
			if r == nil {
				r = &count{}
				rows[name] = r
			}
			r.n++
			if !e.any {
				r.none++
			}
			if e.right[best] {
				r.right++
			}
			if sure > 0.9 {
				r.sure++
				if e.right[best] {
					r.both++
				}
			}
		}
		if !e.right[best] {
			fmt.Printf("page %d %s: sure %.2f, any %v, wrong by %.1f px\n", e.page+1, pages[e.page].Style, sure, e.any,
				math.Remainder(e.places[best].Middle-pages[e.page].Truth, 1)*scenario.Width)
		}
	}
	for name, r := range rows {
		fmt.Printf("%-20s %4d: right %.3f, sure %.3f, right of the sure %.3f, out of reach %.3f\n", name, r.n,
			float64(r.right)/float64(r.n), float64(r.sure)/float64(r.n), float64(r.both)/float64(max(r.sure, 1)), float64(r.none)/float64(r.n))
	}
}
