package draw_test

import (
	"compress/gzip"
	"encoding/gob"
	"flag"
	"fmt"
	"math"
	"os"
	"runtime"
	"strings"
	"sync"
	"testing"

	"ionoscribe/fax/draw"
	"ionoscribe/internal/grade"
	"ionoscribe/internal/scenario"
)

var (
	fitSeam  = flag.Int("fitseam", 0, "fit the weights of the seam's evidence to so many charts")
	fitFirst = flag.Int("fitfirst", 1, "the first seed")
	fitCache = flag.String("fitcache", "", "file to keep the pages in; without -fitseam, files to read them from")
	fitStyle = flag.String("fitstyle", "", "keep pages of this style alone")
	fitCheck = flag.String("fitcheck", "", "files of other pages to judge the weights by")
)

type seamPage struct {
	Style  string
	Levels []int8 // at the nominal line rate
	Line   []int
	Lines  int
	Truth  float64 // of the middle line, as a share of the line
	Lean   float64 // over all lines, as a share of the line
	Found  float64 // the lean by its sketch
	Easy   bool    // with a margin or a frame
	Note   string
}

// TestFitSeam fits the weights with which the evidence for a line start is weighed, by the maximum likelihood of where
// it truly is, and prints them: go test -run FitSeam -timeout 2h ./fax/draw -args -fitseam 1000.
func TestFitSeam(t *testing.T) {
	if *fitSeam == 0 && *fitCache == "" {
		return
	}
	var pages []seamPage
	if *fitSeam > 0 {
		pages = seamPages(*fitSeam)
	}
	if *fitCache != "" && *fitSeam > 0 {
		keepPages(t, *fitCache, pages)
		return
	}
	for _, name := range strings.Split(*fitCache, ",") {
		if name != "" {
			pages = append(pages, keptPages(t, name)...)
		}
	}
	w := fitWeights(seamExamples(pages))
	judgeWeights(w, seamExamples(pages))
	if *fitCheck != "" {
		fmt.Println("others:")
		var others []seamPage
		for _, name := range strings.Split(*fitCheck, ",") {
			others = append(others, keptPages(t, name)...)
		}
		judgeWeights(w, seamExamples(others))
	}
}

func keepPages(t *testing.T, name string, pages []seamPage) {
	f, err := os.Create(name)
	if err != nil {
		t.Fatal(err)
	}
	z := gzip.NewWriter(f)
	if err := gob.NewEncoder(z).Encode(pages); err != nil {
		t.Fatal(err)
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
}

func keptPages(t *testing.T, name string) (pages []seamPage) {
	f, err := os.Open(name)
	if err != nil {
		t.Fatal(err)
	}
	z, err := gzip.NewReader(f)
	if err != nil {
		t.Fatal(err)
	}
	if err := gob.NewDecoder(z).Decode(&pages); err != nil {
		t.Fatal(err)
	}
	return pages
}

func seamPages(n int) []seamPage {
	pages := make([]seamPage, n)
	var wg sync.WaitGroup
	seeds := make(chan int)
	for range runtime.GOMAXPROCS(0) {
		wg.Add(1)
		go func() {
			defer wg.Done()
			for i := range seeds {
				layout, trial, rows, skipped := grade.JoinedTrial(uint64(*fitFirst + i))
				if !strings.HasPrefix(layout.Style, *fitStyle) {
					continue
				}
				m := layout.Draw(scenario.Width, rows)
				blank, middle := grade.SeamOf(m, skipped+1)
				r, err := trial.RunLines(m)
				if err != nil {
					continue
				}
				d := r.Chart.Drawing
				half := float64(d.Rows / 2)
				centre := d.Origin + half*d.Period
				period := d.Period / (1 + r.ClockPixels/float64((rows-skipped)*scenario.Width))
				nominal := 60 / r.Chart.LPM * draw.VideoRate
				d.Period = nominal
				d.Origin = centre - half*d.Period
				start := (middle - r.StartPixels) / scenario.Width
				levels, line, found := draw.PageLevels(r.Chart.Video, d)
				pages[i] = seamPage{layout.Style, levels, line, d.Rows, start - math.Floor(start),
					(period/nominal - 1) * float64(d.Rows), found, blank >= scenario.Width/100 || layout.Frame > 0,
					fmt.Sprintf("%+v %.1f dB", layout, trial.SNR)}
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

type seamExample struct {
	style  string
	note   string
	easy   bool
	lean   float64
	truth  float64
	places []draw.SeamPlace
	sparse [][]seamFeature
	right  []bool
	any    bool // one of them is
	page   int
}

type seamFeature struct {
	kind  int
	value float64
}

const (
	seamTolerance = 3.0 / scenario.Width
	leanTolerance = 5.0 / scenario.Width
)

func seamExamples(pages []seamPage) (all []seamExample) {
	last := map[string]int{} // of pages that were kept twice, the later one counts
	for i, p := range pages {
		last[p.Note] = i
	}
	for i, p := range pages {
		if p.Lines == 0 || last[p.Note] != i {
			continue
		}
		places := draw.SeamPlaces(p.Levels, p.Line, p.Lines, p.Found)
		note := fmt.Sprintf("%s, sketch's lean wrong by %.1f px", p.Note, (p.Found-p.Lean)*scenario.Width)
		e := seamExample{p.Style, note, p.Easy, p.Lean, p.Truth, places, make([][]seamFeature, len(places)), make([]bool, len(places)), false, i}
		for k, c := range places {
			for j, f := range c.Features {
				if f != 0 {
					e.sparse[k] = append(e.sparse[k], seamFeature{j, f})
				}
			}
			if math.Abs(math.Remainder(c.Middle-p.Truth, 1)) <= seamTolerance && math.Abs(c.Lean-p.Lean) <= leanTolerance {
				e.right[k], e.any = true, true
			}
		}
		all = append(all, e)
	}
	return all
}

// posterior is the probability of each place, and that it is none of them: place i has the score w·f(i), none the score
// 0, and probability goes as exp(score).
func posterior(w []float64, e seamExample) (p []float64, none float64) {
	p = make([]float64, len(e.places))
	top := 0.0
	for i := range e.places {
		p[i] = e.places[i].Clock
		for _, f := range e.sparse[i] {
			p[i] += w[f.kind] * f.value
		}
		top = max(top, p[i])
	}
	sum := math.Exp(-top)
	for i := range p {
		p[i] = math.Exp(p[i] - top)
		sum += p[i]
	}
	for i := range p {
		p[i] /= sum
	}
	return p, math.Exp(-top) / sum
}

func fitWeights(all []seamExample) []float64 {
	n := len(all[0].places[0].Features)
	w, step, last := make([]float64, n), make([]float64, n), make([]float64, n)
	for k := range step {
		step[k] = 0.1
	}
	loss := 0.0
	for range 120 {
		gradient := make([]float64, n)
		loss = 0
		for _, e := range all {
			p, none := posterior(w, e)
			mass := 0.0
			for i, r := range e.right {
				if r {
					mass += p[i]
				}
			}
			if !e.any {
				mass = none
			}
			mass = max(mass, 1e-9)
			loss -= math.Log(mass)
			for i := range e.places {
				g := -p[i]
				if e.right[i] {
					g += p[i] / mass
				}
				if math.Abs(g) > 1e-6 {
					for _, f := range e.sparse[i] {
						gradient[f.kind] += g * f.value
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
	}
	fmt.Printf("%.4f nats a page\n", loss/float64(len(all)))
	for k, v := range w {
		fmt.Printf("%2d %8.3f\n", k, v)
	}
	return w
}

func judgeWeights(w []float64, all []seamExample) {
	type count struct{ n, right, none int }
	rows := map[string]*count{}
	thresholds := []float64{0.5, 0.7, 0.8, 0.9, 0.95, 0.98}
	sures, both := make([]int, len(thresholds)), make([]int, len(thresholds))
	for _, e := range all {
		p, _ := posterior(w, e)
		best := 0
		for i, s := range p {
			if s > p[best] {
				best = i
			}
		}
		sure := 0.0
		for i, c := range e.places {
			if math.Abs(math.Remainder(c.Middle-e.places[best].Middle, 1)) <= seamTolerance {
				sure += p[i]
			}
		}
		for k, t := range thresholds {
			if e.easy && sure >= t {
				sures[k]++
				if e.right[best] {
					both[k]++
				}
			}
		}
		names := []string{e.style, "all"}
		if e.easy {
			names = append(names, "easy")
		}
		for _, name := range names {
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
		}
		if !e.right[best] {
			truth, at := 0.0, -1
			for i, r := range e.right {
				if r && p[i] > truth {
					truth, at = p[i], i
				}
			}
			fmt.Printf("page %d: sure %.2f, of the truth %.3f, in reach %v, wrong by %.1f px, lean by %.1f px: %s\n", e.page+1, sure, truth, e.any,
				math.Remainder(e.places[best].Middle-e.truth, 1)*scenario.Width, (e.places[best].Lean-e.lean)*scenario.Width, e.note)
			if at >= 0 {
				for k, f := range e.places[at].Features {
					if g := e.places[best].Features[k]; math.Abs(w[k]*(f-g)) > 0.5 {
						fmt.Printf("  %d: %.2f instead of %.2f, %.1f nats\n", k, f, g, w[k]*(f-g))
					}
				}
			}
		}
	}
	for name, r := range rows {
		fmt.Printf("%-15s %4d: right %.3f, out of reach %.3f\n", name, r.n, float64(r.right)/float64(r.n), float64(r.none)/float64(r.n))
	}
	for k, t := range thresholds {
		fmt.Printf("from %.2f on: %.3f, right of them %.3f\n", t, float64(sures[k])/float64(len(all)), float64(both[k])/float64(max(sures[k], 1)))
	}
}
