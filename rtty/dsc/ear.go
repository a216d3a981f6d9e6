package dsc

import (
	"math"

	"ionoscribe/demod/fsk"
)

// Lengths in grid points of a channel.
const (
	character    = Units * fsk.PerElement
	phasingGrid  = phasingPlaces * character
	phasingUnits = phasingPlaces * Units
)

const (
	// enough is the evidence, in nats, that phasing signals are some: of noise, which has 1600 chances a second, exp(-30) comes
	// true once in two hundred years. Phasing signals in full have 83.
	enough = 30.0
	// vhfRatio is energy over noise of an element at 12 dB in 2500 Hz, which the audio of a voice channel has when it is readable.
	vhfRatio = 33.0
	// leastLn bounds what a single element says against it.
	leastLn = -7.0
)

// phasing is, for each element of the phasing signals, whether it is Y.
var phasing = func() (y [phasingUnits]bool) {
	for i := range phasingPairs {
		for k, code := range [...]Code{phasingDX.Code(), (phasingRX - Symbol(i)).Code()} {
			for u := range Units {
				y[(2*i+k)*Units+u] = code>>u&1 == 1
			}
		}
	}
	return y
}()

// ear listens to one pair of tones: it finds phasing signals, and hears the call behind.
type ear struct {
	channel  fsk.Channel
	open     bool
	centreHz float64 // where the pair was seen
	from     int64   // block it began with
	done     int64   // blocks it has heard
	seen     int64   // block at which the pair was seen last
	scored   int64   // grid points whose match is reckoned
	searched int64   // grid points at which phasing signals were looked for
	match    [2][fsk.GridSize]float32
	sync     sync // the best one of late
	call     call
}

// sync is where phasing signals seem to begin.
type sync struct {
	at       int64 // grid point
	inverted bool
	evidence float64
	fill     float64 // how well the filters are filled by its elements
}

// begin opens the ear.
func (e *ear) begin(vhf bool, p pair, from, stay int64) {
	s := Settings{VHF: vhf}
	half := s.ShiftHz() / 2
	noise := float32(1.1 * p.noise * s.Baud() / fsk.LineHz)
	power := [2]float32{float32(2 * max(p.tone[0], 0)), float32(2 * max(p.tone[1], 0))}
	e.channel.Begin(p.centreHz+half, p.centreHz-half, s.Baud(), power, [2]float32{noise, noise}, from)
	e.channel.Stay(stay)
	if vhf {
		e.channel.Bound(vhfRatio)
	}
	e.open, e.centreHz, e.from, e.done = true, p.centreHz, from, from
	e.scored, e.searched = 0, 0
	e.sync = sync{}
	e.call.active = false
}

// listen takes the next block, and tells each call that has ended.
func (e *ear) listen(f *fsk.Front, tell func(*ear)) {
	z, w := f.Block(e.done)
	e.done++
	// The channel keeps 256 elements, of which a block has 128 on VHF.
	parts := 1
	if e.channel.Baud() == VHFBaud {
		parts = 4
	}
	for i := range parts {
		a, b := len(w)*i/parts, len(w)*(i+1)/parts
		e.channel.Listen(z[a*fsk.HopLength:b*fsk.HopLength], w[a:b])
		e.score()
		e.search(tell)
		e.hear(f, tell)
	}
}

// score reckons how well the element at each grid point fits Y and B.
func (e *ear) score() {
	for ; e.scored < e.channel.Done(); e.scored++ {
		i := e.scored & fsk.GridMask
		y := e.channel.Likely[fsk.Space][i] - e.channel.Likely[fsk.Mark][i]
		e.match[0][i] = max(-fsk.Either(0, -y), leastLn)
		e.match[1][i] = max(-fsk.Either(0, y), leastLn)
	}
}

// search looks for phasing signals: the best place within a symbol after the first that has the evidence.
func (e *ear) search(tell func(*ear)) {
	for ; e.searched+phasingGrid < e.scored; e.searched++ {
		at := e.searched
		sum := e.evidence(at)
		for inverted, v := range sum {
			if v > max(float32(e.sync.evidence), enough) {
				e.sync = sync{at: at, inverted: inverted == 1, evidence: float64(v)}
			}
		}
		if e.sync.evidence > 0 && at == e.sync.at+character {
			if e.call.active { // its end was not heard
				e.end(tell)
			}
			e.call.begin(e.filled(e.sync), e.channel.Time(e.sync.at))
			e.sync = sync{}
		}
	}
}

// evidence is that for phasing signals at a grid point, with B as the higher and as the lower tone; 0 if it cannot be enough.
func (e *ear) evidence(at int64) (sum [2]float32) {
	left := float32(phasingUnits * math.Ln2) // what there may be at most
	for part := 0; part < phasingUnits && max(sum[0], sum[1])+left > enough; part += 2 * Units {
		for u, y := range phasing[part : part+2*Units] {
			i := (at + int64(part+u)*fsk.PerElement) & fsk.GridMask
			a, b := e.match[0][i], e.match[1][i]
			if y {
				a, b = b, a
			}
			sum[0] += b
			sum[1] += a
		}
		left -= 2 * Units * math.Ln2
	}
	if left > math.Ln2 {
		return [2]float32{}
	}
	return sum
}

// filled is a sync where the filters are filled best: it is as likely as can be in neighbouring places too.
func (e *ear) filled(s sync) sync {
	fill := func(at int64) (sum float64) {
		for u, y := range phasing {
			i := (at + int64(u)*fsk.PerElement) & fsk.GridMask
			v := float64(e.channel.Likely[fsk.Mark][i] - e.channel.Likely[fsk.Space][i])
			if y != s.inverted {
				v = -v
			}
			sum += v
		}
		return sum
	}
	best := s.at
	s.fill = math.Inf(-1)
	for at := max(s.at-fsk.PerElement/2, 0); at <= s.at+fsk.PerElement/2; at++ {
		if v := fill(at); v > s.fill {
			best, s.fill = at, v
		}
	}
	s.at = best
	return s
}

// hear takes the places of a call that are ready.
func (e *ear) hear(f *fsk.Front, tell func(*ear)) {
	for e.call.active {
		at := e.call.sync.at + int64(e.call.heard)*character
		if at+character >= e.channel.Done() {
			return
		}
		var y [Units]float32
		for u := range y {
			g := at + int64(u)*fsk.PerElement
			y[u] = float32(-e.channel.Ratio(g, e.channel.Excess(f, g)))
			if e.call.sync.inverted {
				y[u] = -y[u]
			}
		}
		e.channel.Fading(at, character)
		if e.call.take(&y) {
			e.end(tell)
		}
	}
}

// end tells a call.
func (e *ear) end(tell func(*ear)) {
	e.call.active = false
	tell(e)
}
