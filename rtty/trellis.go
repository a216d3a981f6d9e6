package rtty

import "math"

// Prior probabilities of what the sender does, as logarithms; they are guesses, and differ little from one another
// beside the likelihoods of a whole character.
const (
	lnAppear = -6.0 // from one grid point to the next: a signal appears, or ceases, in noise
	lnPause  = -2.5 // a character is followed by idle mark of any length
	lnResume = -4.5 // from one grid point to the next a character begins, after idle mark
	lnSlip   = -3.0 // of telegraphy without start and stop: an element is of another length
)

// mostExtra is how far the length of a stop element is told from idle mark: one and a half elements more than one.
const mostExtra = perElement + perElement/2

// lagCharacters is how much later a character is decided than it ends.
const lagCharacters = 3

const never = -1e30

// trellis finds the most likely start-stop characters (Viterbi's algorithm). Its states at a grid point are: a
// character begins, one has ended, mark goes on, and there is no signal. A character is a start element, units that
// may be either, and a stop element; all its likelihoods are known once its stop element is over. So an element that
// was hit costs its own likelihood and nothing else: the start of the next character hangs on all the others.
//
// Scores are log-likelihoods against noise alone. The rival is telegraphy without start and stop between the same
// tones, of elements of the same length; what the trellis is better than that is the evidence of start-stop.
type trellis struct {
	units    int
	inverted bool
	length   int64 // grid points of a character with one stop element
	at       int64 // grid points done
	decided  int64 // end of the last character decided

	begun, ended, idle, none [gridSize]float64
	beforeBegin              [gridSize]int64 // end of the character before, -1: none
	idleFrom, noneFrom       [gridSize]int64
	rival, rivalNone         [gridSize]float64
	marks, either            [gridSize]float64 // running sums of likelihoods, an element's part a grid point

	extra   [mostExtra + 1]float64 // how often a stop element was so much longer than one element
	lnExtra [mostExtra + 1]float64

	starts []int64 // work space
}

// frame is a character as the trellis found it.
type frame struct {
	start, end int64   // grid points
	evidence   float64 // that it is one, by its start and stop elements: log-likelihood ratio
}

func (r *trellis) begin(units int, inverted bool) {
	starts := r.starts[:0]
	if starts == nil {
		starts = make([]int64, 0, gridSize/perElement)
	}
	*r = trellis{units: units, inverted: inverted, length: int64(units+2) * perElement, starts: starts}
	for i := range r.begun {
		r.begun[i], r.ended[i], r.idle[i], r.none[i] = never, never, never, never
		r.rival[i], r.rivalNone[i] = never, never
	}
	r.none[0], r.rivalNone[0], r.noneFrom[0], r.idleFrom[0] = 0, 0, -1, -1
	r.at = 1
	for i := range r.extra {
		r.extra[i] = 0.2
	}
	r.reckon()
}

// reckon takes the logarithms of what was learnt of stop elements.
func (r *trellis) reckon() {
	sum := 0.0
	for i := range r.extra {
		sum += r.extra[i]
	}
	for i, n := range r.extra {
		near := 2 * n
		if i > 0 {
			near += r.extra[i-1]
		}
		if i < mostExtra {
			near += r.extra[i+1]
		}
		r.lnExtra[i] = math.Log(0.9 * (0.03/(mostExtra+1) + 0.97*near/4/sum))
	}
}

// learn notes by how much a stop element was longer than one.
func (r *trellis) learn(extra int64) {
	if extra < 0 || extra > mostExtra {
		return
	}
	for i := range r.extra {
		r.extra[i] *= 0.97 // some thirty characters
	}
	r.extra[extra]++
	r.reckon()
}

// tones gives mark and space of the trellis.
func (r *trellis) tones(l *levels) (m, s *[gridSize]float32) {
	if r.inverted {
		return &l.likely[space], &l.likely[mark]
	}
	return &l.likely[mark], &l.likely[space]
}

// advance takes all likelihoods that are ready.
func (r *trellis) advance(l *levels) {
	m, s := r.tones(l)
	for ; r.at-perElement < l.done; r.at++ {
		r.step(m, s)
	}
}

func (r *trellis) step(m, s *[gridSize]float32) {
	u := r.at
	i, h := u&gridMask, (u-1)&gridMask
	if u < perElement {
		r.begun[i], r.ended[i], r.idle[i], r.none[i] = never, never, never, 0
		r.begun[i], r.beforeBegin[i], r.noneFrom[i], r.idleFrom[i] = lnAppear, -1, -1, -1
		r.rival[i], r.rivalNone[i] = lnAppear, 0
		return
	}
	w := (u - perElement) & gridMask // the element that ends here
	both := float64(either(m[w], s[w]))
	r.marks[i] = r.marks[h] + float64(m[w])/perElement
	r.either[i] = r.either[h] + both/perElement

	ended := never
	if start := u - r.length; start > 0 {
		ended = r.begun[start&gridMask] + r.character(m, s, start)
	}
	r.ended[i] = ended

	idle, from := r.idle[h]+float64(m[w])/perElement, r.idleFrom[h]
	if v := ended + lnPause; v > idle {
		idle, from = v, u
	}
	if v := r.none[h] + lnAppear + float64(m[w])/perElement; v > idle {
		idle, from = v, r.noneFrom[h]
	}
	r.idle[i], r.idleFrom[i] = idle, from

	none, nfrom := r.none[h], r.noneFrom[h]
	if v := ended + lnAppear; v > none {
		none, nfrom = v, u
	}
	if v := idle + lnAppear; v > none {
		none, nfrom = v, from
	}
	r.none[i], r.noneFrom[i] = none, nfrom

	begun, before := idle+lnResume, from
	if v := none + lnAppear; v > begun {
		begun, before = v, nfrom
	}
	for e := range min(int64(mostExtra+1), u) {
		j := (u - e) & gridMask
		if v := r.ended[j] + r.marks[i] - r.marks[j] + r.lnExtra[e]; v > begun {
			begun, before = v, u-e
		}
	}
	r.begun[i], r.beforeBegin[i] = begun, before

	rival := r.rival[w] + both
	slip := never
	for e := int64(1); e < perElement; e++ {
		j := (u - e) & gridMask
		slip = max(slip, r.rival[j]+r.either[i]-r.either[j])
	}
	rival = max(rival, slip+lnSlip, r.rivalNone[h]+lnAppear)
	r.rival[i] = rival
	r.rivalNone[i] = max(r.rivalNone[h], rival+lnAppear)
}

// character is the log-likelihood of any character that begins at g.
func (r *trellis) character(m, s *[gridSize]float32, g int64) float64 {
	sum := s[g&gridMask]
	for range r.units {
		g += perElement
		sum += either(m[g&gridMask], s[g&gridMask])
	}
	g += perElement
	return float64(sum + m[g&gridMask])
}

// lead is how much better the best path is than the rival, at the last grid point.
func (r *trellis) lead() float64 {
	_, v := r.best()
	return v
}

// score is the log-likelihood of the best path against noise alone, at about the last grid point.
func (r *trellis) score() float64 {
	last := (r.at - 1) & gridMask
	return r.lead() + max(r.rival[last], r.rivalNone[last])
}

// best is the end of the last character of the best path, and how much better it is than the rival there.
func (r *trellis) best() (end int64, lead float64) {
	last := r.at - 1
	i := last & gridMask
	base := max(r.rival[i], r.rivalNone[i])
	end, lead = r.noneFrom[i], r.none[i]-base
	if v := r.idle[i] - base; v > lead {
		end, lead = r.idleFrom[i], v
	}
	// A character under way is judged by the path up to its start.
	for u := max(last-r.length+1, 1); u <= last; u++ {
		i := u & gridMask
		if v := r.begun[i] - max(r.rival[i], r.rivalNone[i]); v > lead {
			end, lead = r.beforeBegin[i], v
		}
	}
	return end, lead
}

// decide appends the characters that ended more than the lag ago.
func (r *trellis) decide(dst []frame) []frame {
	limit := r.at - 1 - lagCharacters*r.length
	end, _ := r.best()
	ends := r.starts[:0]
	for end > r.decided && len(ends) < cap(ends) && end > r.at-gridSize+4*r.length {
		ends = append(ends, end)
		end = r.beforeBegin[(end-r.length)&gridMask]
	}
	for k := len(ends) - 1; k >= 0; k-- {
		end := ends[k]
		start := end - r.length
		if end > limit {
			break
		}
		if start < r.decided-perElement {
			continue // another path than that decided
		}
		before := r.beforeBegin[start&gridMask]
		r.learn(start - before)
		evidence := r.over(&r.ended, end)
		if before >= 0 {
			evidence -= r.over(&r.ended, before)
		} else {
			evidence -= r.over(&r.begun, start)
		}
		dst = append(dst, frame{start, end, evidence})
		r.decided = end
	}
	return dst
}

// over is how much better a state is than the rival at a grid point.
func (r *trellis) over(state *[gridSize]float64, g int64) float64 {
	i := g & gridMask
	return state[i] - max(r.rival[i], r.rivalNone[i])
}

// idling says whether mark goes on.
func (r *trellis) idling() bool {
	i := (r.at - 1) & gridMask
	return r.idle[i] > r.none[i]
}
