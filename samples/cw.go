package samples

import (
	"errors"
	"fmt"
	"io"
	"iter"
	"math"

	"ionoscribe/cw"
)

// Defaults of CWConfig: common practice, but for the length of dashes (ITU-R M.1677-1, part I, clause 2).
const (
	DefaultWPM              = 20.0
	DefaultPitchHz          = 700.0
	DefaultWeightPercent    = 50.0
	DefaultDashRatio        = cw.DashDots
	DefaultJitter           = 0.12
	DefaultEdgeSeconds      = 0.005
	DefaultChirpSeconds     = 0.02
	DefaultHumModulationHz  = 100.0 // ripple of a full-wave rectifier on mains of 50 Hz
	DefaultCWSilenceSeconds = 1.0
)

// CWConfig describes a Morse transmission; a zero field is the default.
type CWConfig struct {
	Text       string  // what to send, in the notation of [cw]; required
	SampleRate float64 // Hz
	WPM        float64 // words a minute, PARIS
	// FarnsworthWPM, if set, is the speed of the text: gaps between characters and words are so much wider; see
	// [cw.Farnsworth].
	FarnsworthWPM float64
	Speeds        []CWSpeed // changes of speed, in order; FarnsworthWPM changes in proportion

	PitchHz          float64 // audio frequency
	DriftHzPerSecond float64 // by which it changes from the first sample on
	// ChirpHz is added to the pitch when the key goes down, and dies away with a time constant of ChirpSeconds.
	ChirpHz, ChirpSeconds float64

	// WeightPercent is the length of a dot in that of a dot and the gap after it, 30 to 70: above 50, all marks are
	// longer by as much as all gaps are shorter.
	WeightPercent float64
	DashRatio     float64 // dash over dot at a weight of 50 %, 2 to 5
	Sender        CWSender
	// Jitter is the standard deviation of the length of an element made by hand, in parts of it, up to 0.3; negative:
	// none. It is Gaussian but that 0.3 of the length stays. Gaps stray up to twice as much, and one between
	// characters in twenty is far too short or too long. Besides, each sender made by a seed has dashes and gaps that
	// are throughout too long or too short, whatever the jitter. A machine has neither.
	Jitter float64

	// EdgeSeconds is how long the signal takes to rise or fall from nothing to full, as a raised cosine centred on the
	// edge; from 10 to 90 % it takes 0.59 of it. No element is shorter. Negative: at once.
	EdgeSeconds float64
	// HumDepth modulates the amplitude, by 1 + HumDepth·sin(2π·HumHz·t), as of a badly smoothed supply.
	HumDepth, HumHz float64

	// Silence before and after the text. A negative one leaves it out, all but half an edge.
	LeadSeconds, TrailSeconds float64
	Amplitude                 float64 // peak, up to 1, without hum
	Seed                      uint64  // of the sender
}

// CWSpeed changes the speed from a symbol on: that of [cw.Encode] with number At, from 0, gaps between words counted.
type CWSpeed struct {
	At  int
	WPM float64
}

// SentSymbol is a symbol as it was sent, a gap between words too. Times are in seconds from the first sample, from
// the middle of the rise of its first element to the middle of the fall of its last one.
type SentSymbol struct {
	cw.Symbol
	At, End float64
}

// CW is a Morse transmission as receiver audio. Its edges need not fall on a sample; the tone's phase goes on between
// elements, and is at sample n 2π times the exact integral of the frequency up to n.
type CW struct {
	cfg     CWConfig
	symbols []cw.Symbol
	end     float64 // seconds
	total   int64   // samples

	schedule cwSchedule
	mark     cwMark
	chirped  float64 // cycles by which chirp is ahead when the mark begins
	n        int64   // next sample
}

// Speeds in words a minute.
const minWPM, maxWPM = 1.0, 200.0

// NewCW checks the configuration and prepares the transmission.
func NewCW(c CWConfig) (*CW, error) {
	setDefault(&c.SampleRate, DefaultSampleRate)
	setDefault(&c.WPM, DefaultWPM)
	setDefault(&c.PitchHz, DefaultPitchHz)
	setDefault(&c.ChirpSeconds, DefaultChirpSeconds)
	setDefault(&c.WeightPercent, DefaultWeightPercent)
	setDefault(&c.DashRatio, DefaultDashRatio)
	setDefault(&c.Jitter, DefaultJitter)
	setDefault(&c.EdgeSeconds, DefaultEdgeSeconds)
	setDefault(&c.HumHz, DefaultHumModulationHz)
	setDefault(&c.LeadSeconds, DefaultCWSilenceSeconds)
	setDefault(&c.TrailSeconds, DefaultCWSilenceSeconds)
	setDefault(&c.Amplitude, DefaultAmplitude)
	c.EdgeSeconds = max(0, c.EdgeSeconds)
	if err := c.check(); err != nil {
		return nil, fmt.Errorf("signal in Morse code: %w", err)
	}
	symbols, err := cw.Encode(c.Text)
	switch {
	case err != nil:
		return nil, err
	case len(symbols) == 0:
		return nil, errors.New("signal in Morse code: no text")
	}
	s := &CW{cfg: c, symbols: symbols}
	all := newCWSchedule(&s.cfg, symbols)
	for _, ok := all.next(); ok; _, ok = all.next() {
	}
	s.end = all.at + max(c.TrailSeconds, c.EdgeSeconds/2)
	s.total = int64(math.Ceil(s.end*c.SampleRate - 1e-6)) // a transmission of whole samples has no rounding crumb more
	if last := c.PitchHz + c.DriftHzPerSecond*s.end; !c.audible(c.PitchHz) || !c.audible(last) {
		return nil, fmt.Errorf("signal in Morse code: pitches from %v to %v Hz are not within 0 and half the sample rate", c.PitchHz, last)
	}
	s.schedule = newCWSchedule(&s.cfg, symbols)
	s.mark = s.schedule.following()
	return s, nil
}

func (c *CWConfig) check() error {
	switch {
	case !(c.SampleRate >= 1000 && c.SampleRate <= 10e6):
		return fmt.Errorf("sample rate %v Hz is not within 1 kHz to 10 MHz", c.SampleRate)
	case !(c.WPM >= minWPM && c.WPM <= maxWPM):
		return fmt.Errorf("%v words a minute are not within %v and %v", c.WPM, minWPM, maxWPM)
	case c.FarnsworthWPM != 0 && !(c.FarnsworthWPM >= minWPM && c.FarnsworthWPM <= c.WPM):
		return fmt.Errorf("text at %v words a minute of characters at %v", c.FarnsworthWPM, c.WPM)
	case !(math.Abs(c.ChirpHz) <= 1000 && math.Abs(c.DriftHzPerSecond) <= 1000):
		return fmt.Errorf("chirp of %v Hz or drift of %v Hz/s is not within ±1000", c.ChirpHz, c.DriftHzPerSecond)
	case !(c.ChirpSeconds > 0 && c.ChirpSeconds <= 10):
		return fmt.Errorf("a time constant of chirp of %v s is not within 0 and 10", c.ChirpSeconds)
	case !(c.WeightPercent >= 30 && c.WeightPercent <= 70):
		return fmt.Errorf("a weight of %v %% is not within 30 and 70", c.WeightPercent)
	case !(c.DashRatio >= 2 && c.DashRatio <= 5):
		return fmt.Errorf("dashes of %v dots are not within 2 and 5", c.DashRatio)
	case c.Sender < Machine || c.Sender > SemiAutomatic:
		return fmt.Errorf("unknown %v", c.Sender)
	case !(c.Jitter <= 0.3):
		return fmt.Errorf("a jitter of %v is not within 0 and 0.3", c.Jitter)
	case !(c.HumDepth >= 0 && c.HumDepth <= 1):
		return fmt.Errorf("a depth of hum of %v is not within 0 and 1", c.HumDepth)
	case !(c.HumHz > 0 && c.HumHz <= 1000):
		return fmt.Errorf("hum of %v Hz is not within 0 and 1000", c.HumHz)
	case !(c.LeadSeconds <= 3600 && c.TrailSeconds <= 3600):
		return errors.New("silence before or after the text is longer than an hour")
	case !(c.Amplitude > 0 && c.Amplitude <= 1):
		return fmt.Errorf("amplitude %v is not within 0 and 1", c.Amplitude)
	}
	fastest, before := c.WPM, -1
	for _, s := range c.Speeds {
		switch {
		case !(s.WPM >= minWPM && s.WPM <= maxWPM):
			return fmt.Errorf("%v words a minute are not within %v and %v", s.WPM, minWPM, maxWPM)
		case s.At <= before:
			return fmt.Errorf("a change of speed at symbol %d does not come after that before it", s.At)
		}
		fastest, before = max(fastest, s.WPM), s.At
	}
	t := c.timing(fastest)
	if shortest := min(t.Dot, t.Gap); !(c.EdgeSeconds <= shortest) {
		return fmt.Errorf("an edge of %v s is longer than the shortest element of %.4f s", c.EdgeSeconds, shortest)
	}
	return nil
}

// audible says whether a pitch with its chirp is within 0 and half the sample rate.
func (c *CWConfig) audible(pitch float64) bool {
	return min(pitch, pitch+c.ChirpHz) > 0 && max(pitch, pitch+c.ChirpHz) < c.SampleRate/2
}

// SampleRate is in Hz.
func (s *CW) SampleRate() float64 { return s.cfg.SampleRate }

// Power is the mean power with the key down: A²/2 for a sine wave of peak A, and more with hum.
func (s *CW) Power() float64 {
	return s.cfg.Amplitude * s.cfg.Amplitude / 2 * (1 + s.cfg.HumDepth*s.cfg.HumDepth/2)
}

// Duration is the length of the whole transmission in seconds.
func (s *CW) Duration() float64 { return float64(s.total) / s.cfg.SampleRate }

// Text is what a receiver prints that heard everything.
func (s *CW) Text() string { return cw.Text(s.symbols) }

// Sent lists all symbols of the transmission, those that were read already too.
func (s *CW) Sent() iter.Seq[SentSymbol] {
	return func(yield func(SentSymbol) bool) {
		schedule := newCWSchedule(&s.cfg, s.symbols)
		start := schedule.at
		for m, ok := schedule.next(); ok; m, ok = schedule.next() {
			if !m.last {
				continue
			}
			if !yield(SentSymbol{s.symbols[m.symbol], start, m.up}) {
				return
			}
			if start = schedule.at; m.symbol+1 == len(s.symbols) || s.symbols[m.symbol+1] != cw.Space {
				continue
			}
			if !yield(SentSymbol{cw.Space, m.up, start}) {
				return
			}
		}
	}
}

// ReadSamples implements demod.SampleReader; it allocates nothing.
func (s *CW) ReadSamples(dst []float32) (int, error) {
	if s.n >= s.total {
		return 0, io.EOF
	}
	if left := s.total - s.n; int64(len(dst)) > left {
		dst = dst[:left]
	}
	for i := range dst {
		dst[i] = float32(s.at(float64(s.n) / s.cfg.SampleRate))
		s.n++
	}
	return len(dst), nil
}

// at is the signal at a time in seconds, which never goes back.
func (s *CW) at(t float64) float64 {
	half := s.cfg.EdgeSeconds / 2
	for t >= s.mark.up+half {
		s.nextMark()
	}
	if t < s.mark.down-half {
		return 0
	}
	a := s.cfg.Amplitude
	switch {
	case t < s.mark.down+half:
		a *= raisedCosine((t - s.mark.down + half) / s.cfg.EdgeSeconds)
	case t > s.mark.up-half:
		a *= raisedCosine((s.mark.up + half - t) / s.cfg.EdgeSeconds)
	}
	if s.cfg.HumDepth > 0 {
		a *= 1 + s.cfg.HumDepth*math.Sin(2*math.Pi*s.cfg.HumHz*t)
	}
	cycles := t*(s.cfg.PitchHz+s.cfg.DriftHzPerSecond/2*t) + s.chirped
	if s.cfg.ChirpHz != 0 {
		cycles += s.chirp(t)
	}
	return a * math.Sin(2*math.Pi*(cycles-math.Floor(cycles)))
}

// raisedCosine rises from 0 to 1 with u.
func raisedCosine(u float64) float64 { return (1 - math.Cos(math.Pi*u)) / 2 }

// chirp is the cycles that chirp has added since the present mark began to rise: the integral of its frequency.
func (s *CW) chirp(t float64) float64 {
	t -= s.mark.down - s.cfg.EdgeSeconds/2
	return s.cfg.ChirpHz * s.cfg.ChirpSeconds * (1 - math.Exp(-t/s.cfg.ChirpSeconds))
}

func (s *CW) nextMark() {
	next := s.schedule.following()
	s.chirped += s.chirp(next.down - s.cfg.EdgeSeconds/2)
	s.mark = next
}
