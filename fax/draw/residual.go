package draw

import (
	"math"

	"ionoscribe/demod"
)

// follow sets the phases by the levels.
func (c *course) follow() {
	phase, last := 0.0, -c.theta
	if c.before {
		last = c.theta
	}
	for i := range c.phase {
		level := c.level(i)
		phase += (last + level) / 2
		c.phase[i], last = phase, level
	}
}

// residual is what is left of a video when what its lines would have sounded like is taken off.
type residual struct {
	source *lineSource // its grid and tuning count, not its video
	filter []float64   // as the front end's, at modelFine times VideoRate
	fine   []complex64
	z      []complex64
	taken  []complex64
}

// modelFine is the oversampling of the model: the finest strokes have sidebands beyond half the VideoRate.
const modelFine = 2

func newResidual(s *lineSource) *residual {
	return &residual{source: s, filter: demod.Lowpass(modelFine*VideoRate, PassHz, StopHz, 50)}
}

// append adds to the residual left of video v what row, received as c, leaves, and to sent what is taken off.
func (r *residual) append(left, sent, v *Video, row int, c *course) {
	s := r.source
	from, to := int64(s.grid.start(row)), int64(s.grid.start(row+1))
	half := len(r.filter) / 2
	n := int(to - from)
	r.fine = r.fine[:0]
	w := 2 * math.Pi * s.tune.offset / VideoRate
	step := s.grid.step()
	scale := 1 / (math.Sin(s.advance()/2) / (s.advance() / 2)) // the gains are of averages over steps
	for i := -half; i < n*modelFine+half; i++ {
		at := float64(from) + float64(i)/modelFine
		z := c.at((at - s.grid.start(row)) / step)
		if s.tune.inverted {
			z = complex(real(z), -imag(z))
		}
		r.fine = append(r.fine, z*demod.Cis(w*(at-float64(c.zero)))*complex(float32(scale), 0))
	}
	if cap(r.z) < n {
		r.z, r.taken = make([]complex64, n), make([]complex64, n)
	}
	r.z, r.taken = r.z[:n], r.taken[:n]
	v.Read(r.z, from)
	for i := range r.z {
		var re, im float32
		for k, f := range r.filter {
			x := r.fine[i*modelFine+k]
			re += float32(f) * real(x)
			im += float32(f) * imag(x)
		}
		r.taken[i] = complex(re, im)
		r.z[i] -= r.taken[i]
	}
	sent.Append(r.taken)
	left.Append(r.z)
}

// single follows lines that came on one path, by the trellis.
type single struct {
	source       *lineSource
	trellis      *trellis
	white, prior []float32
	course       course
	fit          gainFit
}

func newSingle(s *lineSource) *single {
	n := s.grid.steps + 2*lead
	f := &single{
		source: s, trellis: newTrellis(n, s.advance()),
		white: make([]float32, n), prior: make([]float32, n),
		course: course{theta: s.advance(), lead: lead, white: make([]bool, n), phase: make([]float64, n), first: make([]complex64, n)},
	}
	for i := range f.prior {
		f.prior[i] = 0.5
	}
	return f
}

// follow receives a row.
func (f *single) follow(row int) *course {
	s, c := f.source, &f.course
	s.load(row)
	c.zero = s.at
	s.observe(f.trellis, row, lead)
	f.trellis.run(f.white, f.prior, firstChain)
	for i, w := range f.white {
		c.white[i] = w > 0.5
	}
	c.follow()
	f.fit.gains(c, s.y, 1)
	return c
}
