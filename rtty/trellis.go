package rtty

import (
	"math"
	"slices"

	"ionoscribe/demod/fsk"
)

// Prior probabilities of what the sender does, as logarithms; they are guesses, and differ little from one another
// beside the likelihoods of a whole character.
const (
	lnAppear = -10.0 // from one grid point to the next: a signal appears, or ceases, in noise
	lnJoin   = -4.0  // a character begins at one of the first grid points, after what is left of one before
	lnPause  = -2.5  // a character is followed by idle mark of any length
	lnResume = -4.5  // from one grid point to the next a character begins, after idle mark
)

// mostExtra is how far the length of a stop element is told from idle mark: one and a half elements more than one.
const mostExtra = fsk.PerElement + fsk.PerElement/2

// lagCharacters is how much later a character is decided than it ends.
const lagCharacters = 4

// leastPresence is the least log-likelihood of tones against noise, an element in the mean, of a character that is one:
// 9 dB below the noise in 2500 Hz, 45 Bd have 4, and noise itself 0 to 1.4. absent is the evidence of any other.
const (
	leastPresence = 1.5
	absent        = -1.5
)

const never = -1e30

// trellis finds the most likely start-stop characters (Viterbi's algorithm). Its states at a grid point are: a
// character begins, one has ended, mark goes on, and there is no signal. A character is a start element, units that
// may be either, and a stop element; all its likelihoods are known once its stop element is over. So an element that
// was hit costs its own likelihood and nothing else: the start of the next character hangs on all the others.
//
// Scores are log-likelihoods against noise alone.
type trellis struct {
	units    int
	inverted bool
	length   int64 // grid points of a character with one stop element
	typed    int64 // grid points of the idle mark before one that is typed, at least
	at       int64 // grid points done
	decided  int64 // end of the last character decided

	begun, ended, idle, none [fsk.GridSize]float64
	beforeBegin              [fsk.GridSize]int64 // end of the character before, -1: none
	idleFrom, noneFrom       [fsk.GridSize]int64
	marks, either            [fsk.GridSize]float64 // running sums of likelihoods of mark, and of either tone, an element's part a grid point

	extra   [mostExtra + 1]float64 // how often a stop element was so much longer than one element
	lnExtra [mostExtra + 1]float64

	lately [8]Code // the last characters
	count  int

	starts []int64 // work space
}

// frame is a character as the trellis found it.
type frame struct {
	start, end int64   // grid points
	evidence   float64 // that it is one, by its start and stop elements: log-likelihood ratio
	extra      int64   // grid points between the character before and this, -1: there was none
	novelty    float64 // 1 if it is unlike the characters before, 0 if they are all the same
}

func (r *trellis) begin(units int, inverted bool, baud float64) {
	starts := r.starts[:0]
	if starts == nil {
		starts = make([]int64, 0, fsk.GridSize/fsk.PerElement)
	}
	*r = trellis{units: units, inverted: inverted, length: int64(units+2) * fsk.PerElement, typed: int64(typedSeconds * baud * fsk.PerElement), starts: starts}
	for i := range r.begun {
		r.begun[i], r.ended[i], r.idle[i], r.none[i] = never, never, never, never
	}
	r.none[0], r.noneFrom[0], r.idleFrom[0] = 0, -1, -1
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
func (r *trellis) tones(l *fsk.Levels) (m, s *[fsk.GridSize]float32) {
	if r.inverted {
		return &l.Likely[fsk.Space], &l.Likely[fsk.Mark]
	}
	return &l.Likely[fsk.Mark], &l.Likely[fsk.Space]
}

// advance takes all likelihoods that are ready.
func (r *trellis) advance(l *fsk.Levels) {
	m, s := r.tones(l)
	for ; r.at-fsk.PerElement < l.Done(); r.at++ {
		r.step(m, s)
	}
}

func (r *trellis) step(m, s *[fsk.GridSize]float32) {
	u := r.at
	i, h := u&fsk.GridMask, (u-1)&fsk.GridMask
	if u < fsk.PerElement {
		r.begun[i], r.ended[i], r.idle[i], r.none[i] = never, never, never, 0
		r.begun[i], r.beforeBegin[i], r.noneFrom[i], r.idleFrom[i] = lnAppear, -1, -1, -1
		return
	}
	w := (u - fsk.PerElement) & fsk.GridMask // the element that ends here
	both := float64(fsk.Either(m[w], s[w]))
	r.marks[i] = r.marks[h] + float64(m[w])/fsk.PerElement
	r.either[i] = r.either[h] + both/fsk.PerElement

	ended := never
	if start := u - r.length; start > 0 {
		ended = r.begun[start&fsk.GridMask] + r.character(m, s, start)
	}
	r.ended[i] = ended

	idle, from := r.idle[h]+float64(m[w])/fsk.PerElement, r.idleFrom[h]
	if v := ended + lnPause; v > idle {
		idle, from = v, u
	}
	if v := r.none[h] + lnAppear + float64(m[w])/fsk.PerElement; v > idle {
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
	if u <= r.length {
		if v := r.either[i] + lnJoin; v > begun {
			begun, before = v, -1
		}
	}
	for e := range min(int64(mostExtra+1), u) {
		j := (u - e) & fsk.GridMask
		if v := r.ended[j] + r.marks[i] - r.marks[j] + r.lnExtra[e]; v > begun {
			begun, before = v, u-e
		}
	}
	r.begun[i], r.beforeBegin[i] = begun, before
}

// character is the log-likelihood of any character that begins at g.
func (r *trellis) character(m, s *[fsk.GridSize]float32, g int64) float64 {
	sum := s[g&fsk.GridMask]
	for range r.units {
		g += fsk.PerElement
		sum += fsk.Either(m[g&fsk.GridMask], s[g&fsk.GridMask])
	}
	g += fsk.PerElement
	return float64(sum + m[g&fsk.GridMask])
}

// score is the log-likelihood of the best path against noise alone, at the last grid point.
func (r *trellis) score(l *fsk.Levels) float64 {
	_, v := r.best(l)
	return v
}

// best is the end of the last character of the best path, and its log-likelihood up to the last grid point.
func (r *trellis) best(l *fsk.Levels) (end int64, score float64) {
	m, s := r.tones(l)
	last := r.at - 1
	i := last & fsk.GridMask
	end, score = r.noneFrom[i], r.none[i]
	if v := r.idle[i]; v > score {
		end, score = r.idleFrom[i], v
	}
	// Of a character under way counts what was heard of it: whole elements, and of the last one a part.
	for u := max(last-r.length+1, 1); u <= last; u++ {
		v, g := r.begun[u&fsk.GridMask], u
		for k := 0; g+fsk.PerElement <= last; k++ {
			switch w := g & fsk.GridMask; {
			case k == 0:
				v += float64(s[w])
			case k <= r.units:
				v += float64(fsk.Either(m[w], s[w]))
			default:
				v += float64(m[w])
			}
			g += fsk.PerElement
		}
		if v += r.either[i] - r.either[g&fsk.GridMask]; v > score {
			end, score = r.beforeBegin[u&fsk.GridMask], v
		}
	}
	return end, score
}

// decide appends the characters that ended more than the lag ago.
func (r *trellis) decide(dst []frame, l *fsk.Levels) []frame {
	limit := r.at - 1 - lagCharacters*r.length
	end, _ := r.best(l)
	ends := r.starts[:0]
	for end > r.decided && len(ends) < cap(ends) && end > r.at-fsk.GridSize+4*r.length {
		ends = append(ends, end)
		end = r.beforeBegin[(end-r.length)&fsk.GridMask]
	}
	for k := len(ends) - 1; k >= 0; k-- {
		end := ends[k]
		start := end - r.length
		if end > limit {
			break
		}
		if start < r.decided-fsk.PerElement {
			continue // another path than that decided
		}
		before := r.beforeBegin[start&fsk.GridMask]
		extra := int64(-1)
		if before >= 0 {
			extra = start - before
		}
		f := frame{start, end, r.evidence(l, start, start-before, before >= 0), extra, r.novelty(l, start, before >= 0 && start-before > r.typed)}
		m, s := r.tones(l)
		if r.character(m, s, start) < leastPresence*float64(r.units+2) {
			f.evidence = min(f.evidence, absent)
		}
		dst = append(dst, f)
		if before >= 0 {
			r.learn(start - before)
		}
		r.decided = end
	}
	return dst
}

// Before a character of someone who types there is idle mark of typedSeconds, longer than within characters, that is
// looked at in typedLooks places. After idle mark a character must be leastGain likelier than more of it: of those that
// noise makes the gain is exponentially distributed about 1.
const (
	typedSeconds = 0.15
	typedLooks   = 4
	leastGain    = 2.0
)

// evidence is that of the start and stop elements of a character for start-stop, against elements of either kind at
// random: ln 2 for each at most. A path can choose among stop elements before the start until it finds a space, so a
// length that is not the usual one takes some off.
func (r *trellis) evidence(l *fsk.Levels, start, extra int64, follows bool) float64 {
	const least = -6
	m, s := r.tones(l)
	i, j := start&fsk.GridMask, (start+r.length-fsk.PerElement)&fsk.GridMask
	sum := max(-fsk.Either(0, m[i]-s[i]), least) + max(-fsk.Either(0, s[j]-m[j]), least)
	if !follows { // nor does it tell against all that follows
		return min(float64(sum)-1, max(r.gain(m, s, start), 0)-leastGain)
	}
	most := slices.Max(r.lnExtra[:])
	if extra > mostExtra { // mark before the start is evidence too
		looks, apart := int64(2), int64(fsk.PerElement)
		if extra > r.typed {
			looks, apart = typedLooks, r.typed/typedLooks
		}
		for back := fsk.PerElement + (looks-1)*apart; back > 0; back -= apart {
			k := (start - back) & fsk.GridMask
			sum += max(-fsk.Either(0, s[k]-m[k]), least)
		}
		return min(float64(sum)-1, r.gain(m, s, start)-leastGain)
	}
	return float64(sum) - 0.3 + max(r.lnExtra[extra]-most, -2)/2
}

// present says whether the tones were there from the beginning of a character on.
func (r *trellis) present(l *fsk.Levels, g int64) bool {
	m, s := r.tones(l)
	i, j := g&fsk.GridMask, (g+fsk.PerElement)&fsk.GridMask
	return s[i]+max(m[j], s[j]) > 2*leastPresence
}

// gain is how much likelier a character at g is than idle mark that goes on, heard or in a fade: noise makes some in a
// long one.
func (r *trellis) gain(m, s *[fsk.GridSize]float32, g int64) float64 {
	sum := r.character(m, s, g)
	idle, faded := -lnPause-lnResume, 0.0 // a fade is as likely as a character is
	for range r.units + 2 {
		p := float64(m[g&fsk.GridMask])
		idle += p
		faded += max(p, 0)
		g += fsk.PerElement
	}
	return sum - max(idle, faded)
}

// novelty is the squared share of the last characters that were others: what repeats every few elements, the beat
// between two carriers for one, has starts and stops too. Someone who types is slow enough to look more closely, at how
// many different ones there were: every line of a radiofax chart may make a character, and nearly the same.
func (r *trellis) novelty(l *fsk.Levels, start int64, typed bool) float64 {
	m, s := r.tones(l)
	var code Code
	for i := range r.units {
		if k := (start + int64(i+1)*fsk.PerElement) & fsk.GridMask; m[k] > s[k] {
			code |= 1 << i
		}
	}
	last := r.lately[:min(r.count, len(r.lately))]
	same := 0
	for i, c := range last {
		if c == code || typed && slices.Contains(last[:i], c) {
			same++
		}
	}
	r.lately[r.count%len(r.lately)] = code
	r.count++
	share := 1 - float64(same)/float64(len(r.lately))
	return share * share
}

// idling says whether mark goes on.
func (r *trellis) idling() bool {
	i := (r.at - 1) & fsk.GridMask
	return r.idle[i] > r.none[i]
}
