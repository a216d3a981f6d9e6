package draw

import (
	"math"
	"math/bits"

	"ionoscribe/demod"
)

// On two paths the trellis of phases fails: the echo brings back the phase of some steps ago. What is received in a
// step is
//
//	y = g1·exp(jφ(t)) + g2·exp(jφ(t-delay)) + noise,
//
// and both gains fade. survivors follows the most probable courses of levels through a line and, for each of them,
// the two gains that it implies, by a Kalman filter (Raheli, Polydoros and Tzou, "Per-survivor processing", IEEE
// Trans. Communications 43, 1995). Courses that agree over the length of the echo are one, and of the rest the best
// go on (the M algorithm: Anderson and Mohan, IEEE Trans. Communications 32, 1984).
type survivors struct {
	theta float64 // by how much white turns the phase forward in a step, radians
	delay float64 // of the second path, steps
	alone bool    // there is no second path
	drift float32 // variance that a step adds to each gain, the chart's mean power being 1
	reach int     // steps that the echo looks back: the memory of the channel
	// turns[n+q] is exp(-jθq); a phase is θ times a whole number in the middle of every step.
	turns []complex64
	// ratios[k+2·reach][level] is exp(j(φ(t-delay)-φ(t))), k being twice the turns between the middles of the step and
	// of the delayed one, level that of the latter.
	ratios [][2]complex64

	now, then  []survivor
	candidates []candidate
	slots      [slotCount]int16 // index of the candidate with this memory, plus one
	steps      []survivorStep   // width of them a step
	width      int
	keepAt     int // step behind which the state is kept
	kept       []survivor
}

// survivor is a course of levels up to a step and what it implies.
type survivor struct {
	levels   uint64 // the last 64, the newest in bit 0; 1 is white
	turned   int32  // the phase, in θ
	evidence float32
	gains    gains
}

// gains are those of the two paths and the covariance of their errors.
type gains struct {
	first, second       complex64
	varFirst, varSecond float32
	covariance          complex64 // E[δfirst·conj(δsecond)]
}

// candidate is a survivor with one step more, without the gains that follow from it: most candidates do not go on.
type candidate struct {
	levels   uint64
	memory   uint64
	turned   int32
	evidence float32
	from     int16 // index of the survivor
	behind   uint8 // by how many bins of sift its evidence is behind the best one's
	e        complex64
	fit      fit
}

type survivorStep struct {
	first, second complex64
	from          int16
	white         bool
}

const (
	// gainDrift is the variance that a step adds to each gain, the chart's mean power being 1. A path with 1 Hz of
	// Doppler spread moves less (3e-4 between places 0.01 s apart), but a survivor that is wrong has to find its way
	// back: 4e-3 is the best for spreads of 0.1 to 1 Hz at 10 and 20 dB, twice and half of it lose 1 dB to 3 dB
	// (simulation).
	gainDrift = 4e-3
	// giveUp is by how much in evidence, in nats, a course may be behind.
	giveUp = 16
	// slotCount is the size of the table in which courses of the same memory meet: five times what is in it at most.
	slotCount = 256
)

// newSurvivors prepares for lines of n steps and width courses; keepAt is the step behind which the state is kept
// for the next line.
func newSurvivors(n int, theta, delay float64, width, keepAt int) *survivors {
	s := &survivors{theta: theta, width: width, keepAt: keepAt, drift: gainDrift}
	for q := -n; q <= n; q++ {
		s.turns = append(s.turns, demod.Cis(-theta*float64(q)))
	}
	s.now, s.then, s.kept = make([]survivor, 0, width), make([]survivor, 0, width), make([]survivor, width)
	s.candidates = make([]candidate, 0, 2*width)
	s.steps = make([]survivorStep, n*width)
	s.setDelay(delay)
	return s
}

// setDelay sets the delay in steps, at least 1.
func (s *survivors) setDelay(delay float64) {
	s.delay, s.reach = delay, int(math.Round(delay))
	rest := float64(s.reach) - delay // the delayed place is so far behind the middle of its step
	s.ratios = s.ratios[:0]
	for k := -2 * s.reach; k <= 2*s.reach; k++ {
		phase := -s.theta * float64(k) / 2
		s.ratios = append(s.ratios, [2]complex64{demod.Cis(phase - s.theta*rest), demod.Cis(phase + s.theta*rest)})
	}
}

// ratio is that of the second path's phase to the first one's.
func (s *survivors) ratio(levels uint64) complex64 {
	d := uint(s.reach)
	first, last := int(levels&1), int(levels>>d&1)
	between := bits.OnesCount64(levels >> 1 & (1<<(d-1) - 1))
	// Levels count as ±1, the two ends by half.
	k := 2*first + 2*last + 4*between - 2*s.reach
	return s.ratios[k+2*s.reach][last]
}

// run follows a line. y has variance noise per step from noise; prior is as in trellis.run. It sets white, first and
// second to the levels and gains of the best course and returns its evidence in nats and its state behind keepAt.
func (s *survivors) run(y []complex64, prior []float32, c chain, start survivor, noise float32, white []bool, first, second []complex64) (evidence float64, end survivor) {
	start.evidence, start.turned = 0, 0
	s.now = append(s.now[:0], start)
	change := [2][2]float32{{log32(1 - c.toWhite), log32(c.toWhite)}, {log32(c.toBlack), log32(1 - c.toBlack)}}
	for n, v := range y {
		own := [2]float32{log32(2 - 2*prior[n]), log32(2 * prior[n])}
		s.branch(v, noise, &change, &own)
		evidence += float64(s.sift(n))
	}
	best := 0
	for i, v := range s.now {
		if v.evidence > s.now[best].evidence {
			best = i
		}
	}
	for n := len(y) - 1; n >= 0; n-- {
		if n == s.keepAt {
			end = s.kept[best]
		}
		p := &s.steps[n*s.width+best]
		white[n], first[n], second[n] = p.white, p.first, p.second
		best = int(p.from)
	}
	// The next line counts its phase from zero again.
	back := s.turns[int(end.turned)+len(s.turns)/2]
	back = complex(real(back), -imag(back))
	end.gains.first *= back
	end.gains.second *= back
	return evidence, end
}

// quickLog is the natural logarithm of a positive x to 1e-4: of the exponent, and of the mantissa m by the series of
// artanh, ln m = 2(t + t³/3 + t⁵/5) with t = (m-1)/(m+1), for m from √½ to √2. math.Log took a third of all the time.
func quickLog(x float32) float32 {
	const half = 0x3f3504f3 // √½
	b := math.Float32bits(x) - half
	e := float32(int32(b) >> 23)
	m := math.Float32frombits(b&(1<<23-1) + half)
	t := (m - 1) / (m + 1)
	u := t * t
	return e*math.Ln2 + 2*t*(1+u*(1.0/3+u*(1.0/5)))
}

func log32(p float32) float32 { return float32(math.Log(float64(max(p, 1e-6)))) }

// branch sets candidates to all courses with one step y more; of those with the same memory only the better.
func (s *survivors) branch(y complex64, noise float32, change *[2][2]float32, own *[2]float32) {
	s.candidates = s.candidates[:0]
	clear(s.slots[:])
	mask := uint64(1)<<uint(s.reach+2) - 1
	middle := len(s.turns) / 2
	for i := range s.now {
		v := &s.now[i]
		last := v.levels & 1
		for level := range uint64(2) {
			levels := v.levels<<1 | level
			turned := v.turned + int32(level+last) - 1
			e, fit := v.gains.innovation(y*s.turns[middle+int(turned)], s.ratio(levels), noise)
			evidence := v.evidence + fit.evidence + change[last][level] + own[level]
			memory := levels & mask
			h := memory * 0x9e3779b97f4a7c15 >> 56 // the golden ratio spreads them (Knuth, volume 3, 6.4)
			for s.slots[h] != 0 && s.candidates[s.slots[h]-1].memory != memory {
				h = (h + 1) % slotCount
			}
			if s.slots[h] == 0 {
				s.candidates = s.candidates[:len(s.candidates)+1]
				s.slots[h] = int16(len(s.candidates))
			} else if s.candidates[s.slots[h]-1].evidence >= evidence {
				continue
			}
			t := &s.candidates[s.slots[h]-1]
			t.levels, t.memory, t.turned, t.evidence, t.from = levels, memory, turned, evidence, int16(i)
			t.e, t.fit = e, fit
		}
	}
}

// fit is what a step says of the gains.
type fit struct {
	evidence        float32
	inverse         float32   // of the innovation's variance
	kFirst, kSecond complex64 // Kalman gains times that variance
}

// innovation compares y, turned to the phase of the first path, with what the gains let expect.
func (g *gains) innovation(y, ratio complex64, noise float32) (e complex64, f fit) {
	e = y - g.first - g.second*ratio
	conj := complex(real(ratio), -imag(ratio))
	cross := g.covariance * conj
	variance := noise + g.varFirst + g.varSecond + 2*real(cross)
	f.inverse = 1 / variance
	f.kFirst = complex(g.varFirst, 0) + cross
	f.kSecond = complex(real(g.covariance), -imag(g.covariance)) + complex(g.varSecond, 0)*conj
	f.evidence = -(real(e)*real(e)+imag(e)*imag(e))*f.inverse - quickLog(variance)
	return e, f
}

// correct is the Kalman filter's step, and the drift until the next one.
func (g *gains) correct(e complex64, f *fit, drift float32, alone bool) {
	w := complex(f.inverse, 0)
	e *= w
	g.first += f.kFirst * e
	g.second += f.kSecond * e
	g.varFirst += drift - demod.Power(f.kFirst)*f.inverse
	if alone {
		return
	}
	g.varSecond += drift - demod.Power(f.kSecond)*f.inverse
	g.covariance -= f.kFirst * complex(real(f.kSecond), -imag(f.kSecond)) * w
}

// sift keeps the best candidates of step n and returns the best one's evidence, which the others are then given
// relative to.
func (s *survivors) sift(n int) float32 {
	best := s.candidates[0].evidence
	for i := range s.candidates {
		best = max(best, s.candidates[i].evidence)
	}
	// How many are how far behind: the limit is where width of them are reached.
	const bins = 64
	var behind [bins + 1]int
	for i := range s.candidates {
		c := &s.candidates[i]
		c.behind = uint8(min(int((best-c.evidence)*(bins/giveUp)), bins))
		behind[c.behind]++
	}
	limit, count := 0, 0
	for limit < bins && count+behind[limit] <= s.width {
		count += behind[limit]
		limit++
	}
	s.then = s.then[:0]
	for i := range s.candidates {
		c := &s.candidates[i]
		if b := int(c.behind); b > limit || b == limit && count >= s.width || b >= bins {
			continue
		} else if b == limit {
			count++
		}
		s.then = s.then[:len(s.then)+1]
		t := &s.then[len(s.then)-1]
		t.levels, t.turned, t.evidence, t.gains = c.levels, c.turned, c.evidence-best, s.now[c.from].gains
		t.gains.correct(c.e, &c.fit, s.drift, s.alone)
		s.steps[n*s.width+len(s.then)-1] = survivorStep{t.gains.first, t.gains.second, c.from, c.levels&1 == 1}
	}
	s.now, s.then = s.then, s.now
	if n == s.keepAt {
		copy(s.kept, s.now)
	}
	return best
}
