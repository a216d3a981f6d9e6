package samples

import "math"

// part is a piece of the transmission that consists of n units of equal length, each of one grey.
// All lengths are in samples.
type part struct {
	start, unit float64
	n           int64
	picture     bool
	// run gives the video of unit i, -1 for black to +1 for white, and the next unit that may differ.
	run func(i int64) (video float64, next int64)
}

func (p part) at(i int64) float64 { return p.start + p.unit*float64(i) }
func (p part) end() float64       { return p.at(p.n) }

const black, white = -1.0, 1.0

// plan lays out the parts one after the other. A part that is left out has no units.
func (f *Fax) plan() []part {
	c := f.cfg
	line := c.SampleRate * 60 / c.LPM
	startHz := Start576Hz
	if c.IOC == 288 {
		startHz = Start288Hz
	}
	columns := int64(f.paper.columns)
	parts := []part{
		alternation(c.SampleRate, startHz, c.StartSeconds),
		// Pulses of 5 % that are centred on the start of the line: its first and its last fortieth.
		{unit: line / 40, n: 40 * int64(math.Round(max(0, c.PhasingSeconds)*c.LPM/60)), run: phasing(c.Phasing)},
		{unit: line / float64(columns), n: columns * int64(f.paper.lines), picture: true, run: f.paper.run},
		alternation(c.SampleRate, StopHz, c.StopSeconds),
		{unit: max(0, c.BlackSeconds) * c.SampleRate, n: 1, run: func(i int64) (float64, int64) { return black, 1 }},
	}
	for i := 1; i < len(parts); i++ {
		parts[i].start = parts[i-1].end()
	}
	return parts
}

// alternation is a square wave between black and white, black first, of whole periods.
func alternation(rate, hz, seconds float64) part {
	return part{unit: rate / (2 * hz), n: 2 * int64(math.Round(max(0, seconds)*hz)), run: func(i int64) (float64, int64) {
		if i%2 == 0 {
			return black, i + 1
		}
		return white, i + 1
	}}
}

func phasing(form Phasing) func(i int64) (float64, int64) {
	return func(i int64) (float64, int64) {
		video := black
		if k := i % 40; form == HalfAndHalf && k >= 20 || form != HalfAndHalf && (k == 0 || k == 39) {
			video = white
		}
		if form == BlackPulse {
			video = -video
		}
		return video, i + 1
	}
}

func (f *Fax) picturePart() part {
	for _, p := range f.parts {
		if p.picture {
			return p
		}
	}
	return part{}
}

// nextRun moves on to the next stretch of constant frequency; the last one lasts for ever.
func (f *Fax) nextRun() {
	for f.part < len(f.parts) && f.unit >= f.parts[f.part].n {
		f.part++
		f.unit = 0
	}
	if f.part == len(f.parts) {
		f.end = math.Inf(1)
		return
	}
	p := &f.parts[f.part]
	video, next := p.run(f.unit)
	if f.cfg.Inverted {
		video = -video
	}
	f.step = (f.cfg.CentreHz + f.cfg.DeviationHz*video) / f.cfg.SampleRate
	f.unit, f.end = next, p.at(next)
}
