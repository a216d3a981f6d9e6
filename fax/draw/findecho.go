package draw

import "math"

// Fading is seen in the power of the rows, an echo in an envelope that varies more than the noise in the spectrum
// lets expect. Both are cheap to see; the delay is then searched for by the evidence of survivors on some rows.
const (
	// fadedRows is the least variation of the rows' power, standard deviation over mean: noise and strokes vary it by
	// 0.05 at 0 dB, ITU-R F.1487 channels by 0.3 and more (simulation).
	fadedRows = 0.12
	// uneven and unevenLeast: the noise by the moments of the envelope over that of the spectrum's floor is below 1.2
	// on one path, and 3 and more at 20 dB with an echo (simulation). The filter's ripple counts as noise of 0.01.
	uneven, unevenLeast = 1.5, 0.02
	// Above unevenMost, 1 dB below the signal in the video's band, the moments tell too little.
	unevenMost = 0.8
	// mostNoise, some 1 dB SNR, is where two paths can still be told from one.
	mostNoise = 0.5

	echoTryWidth = 10
	shortestEcho = 1.0
	echoStep     = 0.7 // steps between trial delays: evidence falls by half of what there is to gain in one step
	echoPlaces   = 3   // trial places of the elements in a step
	// echoAdvantage is by how much, in nats a step, two paths must explain more than one: one path that fades
	// brings none, an echo 0.03 to 0.1 at 3 dB and 1 at 20 dB (simulation).
	echoAdvantage = 0.03
	// tryDrift is gainDrift for the search. The evidence is greatest about there (simulation).
	tryDrift = 1e-3
	// worstFit is by how much, in nats a step, the evidence of a picture that seems to have greys here and there may be
	// below that of noise of the right power: charts are 0.3 below at most, greys at 20 dB 0.7 and more (simulation).
	// Without noise the model's own errors show, and charts are 0.5 below too.
	// It does not count where the second path explains more than is left: an echo of a chart that fades in part of its lines
	// explained 6.7 and left 1.3, greys have some hundredths explained.
	worstFit = 0.6
)

// fades tells whether the chart came on more than one path: whether a search is worth while.
func fades(s *lineSource, rows int) bool {
	var n, sum, squares, signal, noise float64
	for row := 0; row < rows; row += max(rows/200, 1) {
		s.load(row)
		p := float64(s.signal + s.noise)
		n++
		sum += p
		squares += p * p
		signal += float64(s.signal)
		noise += float64(s.noise)
	}
	variation := math.Sqrt(max(squares*n/(sum*sum+1e-30)-1, 0))
	floor := float64(s.noiseFloor(rows))
	if floor/(1+floor)*float64(s.gain) > mostNoise {
		return false
	}
	ratio := noise / (signal + 1e-30)
	return variation > fadedRows || ratio > uneven*floor+unevenLeast && ratio < unevenMost
}

// findEcho searches for a second path in a picture of kind k and sets the chart's lines to those of the first one. It
// returns false, and changes nothing, if there is no second path or the picture has not two levels.
func (d *Drawing) findEcho(v *Video, k kind) bool {
	s := newEchoSearch(d, v)
	s.rows = fewRows
	for delay := shortestEcho; delay <= longestEcho; delay += echoStep {
		// The lines were found somewhere between the two paths.
		for i := range echoPlaces {
			s.try(delay, -delay/2+float64(i)/echoPlaces)
		}
	}
	s.rows, s.best = moreRows, math.Inf(-1)
	s.try(s.delay, s.place)
	for _, by := range []float64{0.35, 0.18} {
		delay, place := s.delay, s.place
		for _, m := range [][2]float64{{by, 0}, {-by, 0}, {0, by}, {0, -by}, {by, -by}, {-by, by}} {
			s.try(delay+m[0], place+m[1])
		}
	}
	ideal := -math.Log(float64(s.echo.noise)) - 1
	alone := s.alone()
	poor := s.best < ideal-worstFit && s.best-alone < ideal-s.best
	if k == mixed && poor || s.best < alone+echoAdvantage {
		return false
	}
	step := s.echo.source.grid.step()
	d.Origin += s.place * step
	d.EchoDelay = s.delay * step
	newEchoSearch(d, v).align()
	return true
}

// sample is a choice of rows: places down the chart, and rows at each, the first one only to find the gains.
type sample struct{ groups, rows int }

var (
	fewRows  = sample{8, 2}
	moreRows = sample{8, 3}
)

// row is the first row of group j in a chart of so many.
func (c sample) row(j, rows int) int { return (2*j + 1) * (rows - c.rows) / (2 * c.groups) }

// echoSearch tries models on some rows of a chart.
type echoSearch struct {
	drawing            *Drawing
	video              *Video
	echo               *echo
	rows               sample
	delay, place, best float64 // of the first path behind the drawing's lines, steps; the evidence of a step, nats
}

func newEchoSearch(d *Drawing, v *Video) *echoSearch {
	e := newEcho(d.source(v), d.Rows, shortestEcho, echoTryWidth)
	e.search.drift = tryDrift
	return &echoSearch{drawing: d, video: v, echo: e, best: math.Inf(-1)}
}

// try keeps a model if it is the best so far.
func (s *echoSearch) try(delay, place float64) {
	if delay < shortestEcho || delay > longestEcho {
		return
	}
	if got := s.evidence(delay, place); got > s.best {
		s.best, s.delay, s.place = got, delay, place
	}
}

// alone is the best evidence of a single path.
func (s *echoSearch) alone() float64 {
	s.echo.search.alone = true
	for i := range s.echo.starts {
		s.echo.starts[i].gains.varSecond = 0
	}
	best := math.Inf(-1)
	for i := range echoPlaces {
		best = max(best, s.evidence(shortestEcho, float64(i)/echoPlaces))
	}
	return best
}

// evidence is that of some rows.
func (s *echoSearch) evidence(delay, place float64) (mean float64) {
	s.move(delay, place)
	for j := range s.rows.groups {
		mean += s.group(s.rows.row(j, s.drawing.Rows)) / float64(s.rows.groups)
	}
	return mean
}

// move sets the model.
func (s *echoSearch) move(delay, place float64) {
	trial := *s.drawing
	trial.Origin += place * s.echo.source.grid.step()
	s.echo.source.grid = trial.source(s.video).grid
	s.echo.course.delay = delay
	s.echo.search.setDelay(delay)
}

// group is the evidence of some rows from row on.
func (s *echoSearch) group(row int) (mean float64) {
	e := s.echo
	start := e.starts[row]
	for i := range s.rows.rows {
		if got := e.track(row+i, firstChain); i > 0 {
			mean += got / float64(s.rows.rows-1)
		}
	}
	for i := range s.rows.rows {
		e.starts[row+1+i] = start
	}
	return mean
}

// align moves the lines so that the steps are the elements in which the chart was sent, from the first row to the last.
// If it has none, the evidence is flat and nothing moves.
func (s *echoSearch) align() {
	const groups, places, apart = 16, 5, 0.2
	s.rows = sample{groups, moreRows.rows}
	d := s.drawing
	step := s.echo.source.grid.step()
	var at, bend, tilt [groups]float64
	for k := range places {
		x := float64(k - places/2)
		s.move(d.EchoDelay/step, x*apart)
		for j := range groups {
			row := s.rows.row(j, d.Rows)
			at[j] = float64(row) / float64(d.Rows)
			got := s.group(row) * float64((s.rows.rows-1)*s.echo.n)
			// Least squares parabola over -2 to 2: orthogonal polynomials x, x²-2.
			tilt[j] += got * x / 10
			bend[j] += got * (x*x - 2) / 14
		}
	}
	var best, place, slant float64
	for p := -0.5; p <= 0.5; p += 0.02 {
		for q := -3.0; q <= 3; q += 0.05 { // two paths by turns pull the slant by as much
			sum := 0.0
			for j := range groups {
				// A group whose evidence has no top among the places tried tells nothing.
				// Beyond half a step the neighbouring element is as good.
				x := p + q*(at[j]-0.5)
				x = (x - math.Round(x)) / apart
				if bend[j] < 0 && math.Abs(tilt[j]) < -2*(places/2)*bend[j] {
					sum += tilt[j]*x + bend[j]*x*x
				}
			}
			if sum > best {
				best, place, slant = sum, p, q
			}
		}
	}
	if best < alignGain {
		return
	}
	d.Origin += (place - slant/2) * step
	d.Period += slant * step / float64(d.Rows)
}
