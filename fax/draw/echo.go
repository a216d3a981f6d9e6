package draw

import (
	"math"

	"ionoscribe/demod"
)

// echo receives a two-level chart that came on two paths. It follows the survivors down the chart, takes from the
// signal of each path what they say of the other, and adds the two, each turned and weighed by its gain (maximal
// ratio combining: Brennan, Proceedings of the IRE 47, 1959). What comes out is as from one path, without its fades,
// and goes to the trellis.
type echo struct {
	source *lineSource
	search *survivors
	n      int        // steps that are followed: a line, and before and behind it
	power  float32    // mean power of the chart: y has power 1
	noise  float32    // variance of the noise of y
	starts []survivor // state at the beginning of each row

	z        []complex64
	y, late  []complex64 // steps, and as much later as the second path is
	prior    []float32
	course   course
	fit      gainFit
	joined   []complex64 // |first|²+|second|² times the signal
	strength float32     // mean of that factor over the line
}

const (
	// echoLead and echoTail are the steps before and behind a line that are followed: lead and the longest delay.
	echoLead = lead + longestEcho
	echoTail = echoLead
	// echoMargin is how many video samples around a line are read: up to 1.4 a step, and the longest delay again.
	echoMargin = 112
	// longestEcho is in steps: 7 ms, the most in ITU-R F.1487, are 26.
	longestEcho = 28
	// echoWidth is the number of courses: 32 gain 0.5 dB at 2 ms and 20 dB, 16 lose 2 dB (simulation).
	echoWidth = 24
	// leastNoise is the least variance of y's noise. Where the model is no better than that (elements are not quite
	// aligned, filters), it would be too sure of itself: without noise half and twice of it lose up to 1 dB and 3 dB
	// (simulation).
	leastNoise = 6e-3
)

func newEcho(s *lineSource, rows int, delay float64, width int) *echo {
	n := s.grid.steps + echoLead + echoTail
	e := &echo{
		source: s, n: n, search: newSurvivors(n, s.advance(), delay, width, s.grid.steps-1),
		starts: make([]survivor, rows+1),
		z:      make([]complex64, int(s.grid.period)+2*echoMargin),
		y:      make([]complex64, n), late: make([]complex64, n), joined: make([]complex64, n),
		prior: make([]float32, n),
		course: course{
			theta: s.advance(), lead: echoLead, delay: delay, white: make([]bool, n), phase: make([]float64, n),
			first: make([]complex64, n), second: make([]complex64, n),
		},
	}
	for i := range e.prior {
		e.prior[i] = 0.5
	}
	var sum float64
	looked := 0
	for row := 0; row < rows; row += max(rows/64, 1) {
		e.load(row, 1)
		for _, c := range e.y {
			sum += float64(demod.Power(c))
		}
		looked += len(e.y)
	}
	e.power = float32(sum/float64(looked)) + 1e-30
	ratio := s.noiseFloor(rows)
	e.noise = max(ratio/(1+ratio)*s.gain, leastNoise)
	for i := range e.starts {
		e.starts[i] = survivor{levels: math.MaxUint64, gains: gains{first: complex(math.Sqrt2/2, 0), varFirst: 0.5, varSecond: 0.5}}
	}
	return e
}

// load reads the steps of a row, their power divided by power.
func (e *echo) load(row int, power float32) {
	s := e.source
	z, at := s.z, s.at
	defer func() { s.z, s.at = z, at }()
	s.z, s.at = e.z, int64(math.Floor(s.grid.start(row)))-echoMargin
	s.video.Read(s.z, s.at)
	s.fill(e.y, s.steps, row, 0.5-echoLead)
	s.fill(e.late, s.steps, row, 0.5-echoLead+e.course.delay)
	scale := complex(1/demod.Sqrt32(power), 0)
	for i := range e.y {
		e.y[i] *= scale
		e.late[i] *= scale
	}
}

// track follows a row from where the row before ended, and returns the evidence of a step in nats.
func (e *echo) track(row int, c chain) float64 {
	e.load(row, e.power)
	evidence, end := e.search.run(e.y, e.prior, c, e.starts[row], e.noise, e.course.white, e.course.first, e.course.second)
	e.course.before = e.starts[row].levels&1 == 1
	e.starts[row+1] = end
	return evidence / float64(e.n)
}

// receive tracks a row and prepares the trellis for it. prior is that of the line and lead steps around.
func (e *echo) receive(t *trellis, row int, prior []float32, c chain) rowLevel {
	copy(e.prior[echoLead-lead:], prior)
	e.track(row, c)
	e.join()
	ratio := 2 / e.noise
	for i := range e.source.grid.steps + 2*lead {
		v := e.joined[i+echoLead-lead]
		t.observe(i, demod.Phase(v), ratio*demod.Sqrt32(demod.Power(v)))
	}
	return rowLevel{e.strength * e.power, e.noise / e.source.gain * e.power}
}

// follow tracks a row and returns its course. Its gains are those that fit a stretch of steps best: the survivors' gains
// follow whatever is within some 100 Hz of the picture's lines, a neighbour too.
func (e *echo) follow(row int) *course {
	e.track(row, firstChain)
	c := &e.course
	c.zero = int64(math.Floor(e.source.grid.start(row))) - echoMargin
	c.follow()
	e.fit.gains(c, e.y, demod.Sqrt32(e.power))
	return c
}

// join sets joined from both paths.
func (e *echo) join() {
	c := &e.course
	c.follow()
	whole := int(math.Round(c.delay))
	var sum float32
	for i := range e.joined {
		a, b := c.first[i], c.second[i]
		v := (e.y[i] - b*c.unit(float64(i)-c.delay)) * complex(real(a), -imag(a))
		sum += demod.Power(a)
		if j := i + whole; j < e.n {
			a, b = c.first[j], c.second[j]
			v += (e.late[i] - a*c.unit(float64(i)+c.delay)) * complex(real(b), -imag(b))
		}
		sum += demod.Power(b)
		e.joined[i] = v
	}
	e.strength = sum / float32(e.n)
}
