package draw

import "math"

// leastRows is the number of lines below which a chart is not delivered.
const leastRows = 8

// phasingSeconds bounds where phasing is looked for: 30 s of it (ISO 9876:2015 3.8), twice over, and the start
// tone.
const phasingSeconds = 75

// finish measures the chart and draws it; nil if there are too few lines. before is what was known of its sender.
func finish(v *Video, h Heard, o Orders, before known) *Chart {
	m := measure{
		video: v, heard: h, orders: o, nominal: 60 / h.LPM * VideoRate, columns: Columns(h.IOC),
		sideband: before.sideband, before: before.before,
	}
	m.lines = int(math.Ceil(float64(h.To-h.From) / m.nominal))
	if m.lines < leastRows {
		return nil
	}
	m.offset = o.CentreHz - CentreHz
	if o.CentreHz == 0 {
		m.offset = findOffset(meanSpectrum(v, h.From, h.To, 512), o.DeviationHz)
	}
	if h.After != 0 {
		m.sideband += hearAfterStop(v, h.After, v.End()).ratio(m.offset, o.DeviationHz)
	}
	raw := v
	v = raw.withoutOutside(h.From, h.To, m.offset)
	m.video = v
	ch := &Chart{
		Video: v, SampleRate: h.SampleRate, IOC: h.IOC, LPM: h.LPM, Began: h.Began, Ended: h.Ended,
		Drawing: Drawing{Columns: m.columns, OffsetHz: m.offset, DeviationHz: o.DeviationHz, White: 1, Plain: o.Plain},
	}
	coarse := grid{origin: float64(h.From), period: m.nominal, columns: sketchCells}
	limit := min(int(phasingSeconds*VideoRate/m.nominal), m.lines)
	var g grid
	var upper bool
	if p, ok := findPhasing(v, coarse, limit, m.offset, o.DeviationHz, h.Began == BeganStartTone); ok {
		g, upper = m.phased(p)
		ch.PhaseMeasured, ch.SlantMeasured, ch.LineStartConfidence = true, true, 1
		if ch.Began == BeganJoined {
			ch.Began = BeganPhasing
		}
	} else {
		var found seam
		g, found, upper, ch.SlantMeasured = m.unphased()
		ch.LineStartConfidence = found.sure
	}
	ch.Inverted = !upper
	ch.sideband, ch.clock = m.sideband, m.clock
	ch.Period = g.period
	ch.Origin = g.origin + o.LineStart*g.period
	ch.ClockPPM = (g.period/m.nominal - 1) * 1e6
	ch.Rows = int(math.Round((float64(h.To) - ch.Origin) / g.period))
	if ch.Rows < leastRows {
		return nil
	}
	ch.draw(raw)
	return ch
}

// doubtfulQuality is the mean quality of a chart at 0 dB SNR (0.34; 0.14 at -3 dB): worse lines may be made of noise.
const doubtfulQuality = 0.34

// doubtful says whether the chart may be none: poor, and neither phasing was heard nor does a slant stand out, as it
// does in pictures.
func (ch *Chart) doubtful() bool {
	sum := 0.0
	for _, q := range ch.Quality {
		sum += float64(q)
	}
	return !ch.PhaseMeasured && !ch.SlantMeasured && sum < doubtfulQuality*float64(len(ch.Quality))
}

// draw draws the chart and sets what follows from the rows. raw is the video with its neighbours.
func (ch *Chart) draw(raw *Video) {
	k := kindOf(ch.source(ch.Video), ch.Rows)
	if k != greys && !ch.Plain {
		k = ch.settle(raw, k)
	}
	ch.ClockPPM = (ch.Period/(60/ch.LPM*VideoRate) - 1) * 1e6
	ch.ClockDeviationPPM = ch.clock.deviation * 1e6
	s := ch.source(ch.Video)
	m, levels := drawRows(s, ch.Drawing, k)
	ch.Image = m
	ch.TwoLevel = k == twoLevels || k == soft && greysIn(m) < fewGreys
	var signal, noise float64
	for _, l := range levels {
		ch.Quality = append(ch.Quality, l.quality())
		signal += float64(l.signal)
		noise += float64(l.noise)
	}
	ch.SNR = snrDB(float32(signal), float32(noise))
	if ch.SNR > 15 { // beyond which the moments mistake the filter's ripple for noise
		ch.SNR = max(ch.SNR, ratioDB(1, float64(s.noiseFloor(ch.Rows))))
	}
	samples := ch.SampleRate / VideoRate
	ch.Start = int64(math.Round(ch.Origin * samples))
	ch.End = int64(math.Round((ch.Origin + float64(ch.Rows)*ch.Period) * samples))
}

// settle takes off a picture of kind k what is not of it, echo and neighbours, and brings it to its lines. It returns
// the kind that is left.
func (ch *Chart) settle(raw *Video, k kind) kind {
	s := ch.source(ch.Video)
	before := ch.Video
	clean, l := withoutNeighbours(raw, s, newSingle(s), ch.Rows)
	sure := true
	switch {
	case clean == nil && k != mixed:
		ch.Video = raw
	case clean == nil:
	default:
		after := kindOf(ch.source(clean), ch.Rows)
		few := k != mixed || l.between(s.tune) < someBetween
		if sure = after != mixed && few; sure {
			k = after
		}
		if few {
			ch.Video = clean
		}
	}
	s = ch.source(ch.Video)
	if k != greys && fades(s, ch.Rows) && ch.findEcho(ch.Video, k) {
		ch.cleanEchoed(raw)
		return twoLevels
	}
	if !sure { // what stood out may be of the greys
		ch.Video = before
	}
	switch k {
	case twoLevels:
		ch.align(ch.Video, ch.PhaseMeasured, &ch.clock)
	case soft:
		ch.alignSlant(ch.Video, ch.pivot(ch.PhaseMeasured), &ch.clock)
	}
	return k
}

// cleanEchoed takes off the neighbours of a picture that came on two paths. The first round hears the picture through
// what one path left of them, the second one through what two left: it gains 1 dB, and all
// courses lose nothing against half of them (simulation).
func (ch *Chart) cleanEchoed(raw *Video) {
	for range 2 {
		s := ch.source(ch.Video)
		clean, _ := withoutNeighbours(raw, s, newEcho(s, ch.Rows, ch.EchoDelay/s.grid.step(), echoWidth/2), ch.Rows)
		if clean == nil {
			return
		}
		ch.Video = clean
	}
}
