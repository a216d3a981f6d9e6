package samples

import (
	"errors"
	"fmt"
	"io"
	"iter"
	"math"

	"ionoscribe/rtty"
)

// Defaults of RTTYConfig: 45.45 Bd and 170 Hz with tones of 2125 and 2295 Hz are common practice; 1.5 stop elements:
// ITU-T S.3, from memory.
const (
	DefaultBaud         = rtty.Baud45
	DefaultShiftHz      = 170.0
	DefaultRTTYCentreHz = 2210.0
	DefaultStopElements = 1.5
	DefaultIdleSeconds  = 1.0
)

// RTTYConfig describes a radioteletype transmission; a zero field is the default.
type RTTYConfig struct {
	Text    string // what to send; required unless Codes is set
	Encoder rtty.Encoder
	Codes   []rtty.Code // sent instead of Text, in the alphabet of Encoder; they must not change meanwhile

	SampleRate       float64 // Hz
	Baud             float64 // elements a second
	BaudErrorPercent float64 // by which the sender is too fast, within ±5
	CentreHz         float64 // audio frequency midway between mark and space
	ShiftHz          float64 // distance between mark and space
	// Inverted makes mark the higher audio tone. It is the lower one in the upper sideband of a signal by ITU-R
	// F.246-3 (space is the higher frequency, from memory), and in the lower sideband of an amateur's (common practice).
	Inverted bool

	StopElements float64 // 1 to 10
	StopJitter   float64 // a stop element is longer by a random part of so many elements, up to 10
	// GapSeconds is the mean of the random idle time after each character, whose distribution is exponential, as of
	// someone who types.
	GapSeconds float64
	// Idle before and after the text: steady mark. A negative one leaves it out.
	LeadSeconds, TrailSeconds float64
	// Diddle fills idle time with idle characters (see [rtty.Alphabet.Idle]), rounded to whole ones.
	Diddle bool

	// TurnElements is the length of the raised-cosine turn from one frequency to the other, in elements up to 1,
	// centred on the edge. 0: the frequency changes at once.
	TurnElements float64

	Amplitude float64 // peak, up to 1
	Seed      uint64  // of jitter and gaps
}

// SentChar is a character as it was sent.
type SentChar struct {
	Code rtty.Code
	Rune rune    // that a printer prints which heard everything, 0 for nothing: shifts and idle characters
	At   float64 // seconds from the first sample to the beginning of the start element
}

// RTTY is a radioteletype transmission as receiver audio: frequency-shift keying with continuous phase.
//
// Frequency changes at the edge of an element, which need not fall on a sample. At sample n the phase is 2π times
// the exact integral of the frequency up to n. Edges are reckoned in elements, of which all without jitter and gaps
// are whole or half ones, so nothing drifts.
type RTTY struct {
	cfg     RTTYConfig
	element float64 // samples
	total   int64   // samples

	schedule rttySchedule
	char     rttyChar // in which the present element is
	next     rttyChar
	k        int // the present element: 0 start, then the units, then stop and idle

	n      int64   // next sample
	cycles float64 // phase at the beginning of the stretch, in cycles, in [0, 1)
	run    stretch
}

// NewRTTY checks the configuration and prepares the transmission.
func NewRTTY(c RTTYConfig) (*RTTY, error) {
	setDefault(&c.SampleRate, DefaultSampleRate)
	setDefault(&c.Baud, DefaultBaud)
	setDefault(&c.CentreHz, DefaultRTTYCentreHz)
	setDefault(&c.ShiftHz, DefaultShiftHz)
	setDefault(&c.StopElements, DefaultStopElements)
	setDefault(&c.LeadSeconds, DefaultIdleSeconds)
	setDefault(&c.TrailSeconds, DefaultIdleSeconds)
	setDefault(&c.Amplitude, DefaultAmplitude)
	if err := c.check(); err != nil {
		return nil, fmt.Errorf("radioteletype signal: %w", err)
	}
	if len(c.Codes) == 0 {
		codes, err := c.Encoder.Encode(c.Text)
		if err != nil {
			return nil, err
		}
		c.Codes = codes
	}
	r := &RTTY{cfg: c, element: c.SampleRate / c.baud()}
	all := newRTTYSchedule(&r.cfg)
	for _, ok := all.next(); ok; _, ok = all.next() {
	}
	r.total = int64(math.Ceil(all.at*r.element - 1e-6)) // a transmission of whole samples has no rounding crumb more
	r.schedule = newRTTYSchedule(&r.cfg)
	r.next = r.schedule.following()
	r.k = r.units() + 1 // mark until the first start
	r.run = stretch{step: r.step(), end: r.turnStart()}
	return r, nil
}

// baud is the true rate.
func (c *RTTYConfig) baud() float64 { return c.Baud * (1 + c.BaudErrorPercent/100) }

func (c *RTTYConfig) check() error {
	switch {
	case !(c.SampleRate >= 1000 && c.SampleRate <= 10e6):
		return fmt.Errorf("sample rate %v Hz is not within 1 kHz to 10 MHz", c.SampleRate)
	case !(c.Baud >= 10 && c.Baud <= c.SampleRate/8):
		return fmt.Errorf("%v Bd are not within 10 Bd and an eighth of the sample rate", c.Baud)
	case !(math.Abs(c.BaudErrorPercent) <= 5):
		return fmt.Errorf("an error of the rate of %v %% is not within ±5 %%", c.BaudErrorPercent)
	case !(c.ShiftHz > 0 && c.CentreHz-c.ShiftHz/2 > 0 && c.CentreHz+c.ShiftHz/2 < c.SampleRate/2):
		return fmt.Errorf("centre %v Hz ± half the shift of %v Hz is not within 0 and half the sample rate", c.CentreHz, c.ShiftHz)
	case !(c.StopElements >= 1 && c.StopElements <= 10):
		return fmt.Errorf("a stop of %v elements is not within 1 and 10", c.StopElements)
	case !(c.StopJitter >= 0 && c.StopJitter <= 10):
		return fmt.Errorf("a jitter of %v elements is not within 0 and 10", c.StopJitter)
	case !(c.TurnElements >= 0 && c.TurnElements <= 1):
		return fmt.Errorf("a turn of %v elements is not within 0 and 1", c.TurnElements)
	case !(c.Amplitude > 0 && c.Amplitude <= 1):
		return fmt.Errorf("amplitude %v is not within 0 and 1", c.Amplitude)
	case !(c.GapSeconds >= 0 && c.GapSeconds <= 60):
		return fmt.Errorf("a mean gap of %v s is not within 0 and a minute", c.GapSeconds)
	case !(c.LeadSeconds <= 3600 && c.TrailSeconds <= 3600):
		return errors.New("idle before or after the text is longer than an hour")
	case !c.Encoder.Alphabet.Known():
		return fmt.Errorf("unknown %v", c.Encoder.Alphabet)
	case c.Text == "" && len(c.Codes) == 0:
		return errors.New("no text")
	}
	for i, code := range c.Codes {
		if code>>c.Encoder.Alphabet.Units() != 0 {
			return fmt.Errorf("code %d, %#b, has more than %d units", i, code, c.Encoder.Alphabet.Units())
		}
	}
	return nil
}

// SampleRate is in Hz.
func (r *RTTY) SampleRate() float64 { return r.cfg.SampleRate }

// Power is the mean power of the signal, A²/2 for a sine wave of peak A: what [NoiseConfig] wants to know.
func (r *RTTY) Power() float64 { return r.cfg.Amplitude * r.cfg.Amplitude / 2 }

// Duration is the length of the whole transmission in seconds.
func (r *RTTY) Duration() float64 { return float64(r.total) / r.cfg.SampleRate }

// Sent lists all characters of the transmission, idle ones and those that were read already too.
func (r *RTTY) Sent() iter.Seq[SentChar] {
	return func(yield func(SentChar) bool) {
		s := newRTTYSchedule(&r.cfg)
		for c, ok := s.next(); ok && yield(SentChar{c.code, c.print, c.start / r.cfg.baud()}); c, ok = s.next() {
		}
	}
}

// ReadSamples implements demod.SampleReader; it allocates nothing.
func (r *RTTY) ReadSamples(dst []float32) (int, error) {
	if r.n >= r.total {
		return 0, io.EOF
	}
	if left := r.total - r.n; int64(len(dst)) > left {
		dst = dst[:left]
	}
	for i := range dst {
		t := float64(r.n)
		for t >= r.run.end {
			r.nextRun()
		}
		cycles := r.cycles + r.run.cycles(t)
		dst[i] = float32(r.cfg.Amplitude * math.Sin(2*math.Pi*(cycles-math.Floor(cycles))))
		r.n++
	}
	return len(dst), nil
}

// stretch is a piece of steady or turning frequency; times are in samples.
type stretch struct {
	start, end float64
	step       float64 // cycles a sample at the start
	turn       float64 // change of step until the end
}

// cycles is the integral of the frequency step + turn·(1-cos πu)/2, u from 0 to 1, from the start to t.
func (s *stretch) cycles(t float64) float64 {
	t -= s.start
	if s.turn == 0 {
		return s.step * t
	}
	length := s.end - s.start
	return (s.step+s.turn/2)*t - s.turn/2*length/math.Pi*math.Sin(math.Pi*t/length)
}

// nextRun moves on to the next stretch: of an element, or from one element to the next.
func (r *RTTY) nextRun() {
	end := r.run.end
	r.cycles += r.run.cycles(end)
	r.cycles -= math.Floor(r.cycles)
	turned := r.run.turn != 0
	r.run = stretch{start: end, step: r.step()}
	if turned {
		r.run.end = r.turnStart()
		return
	}
	edge := r.edge()
	r.advance()
	if turn := r.step() - r.run.step; turn != 0 && r.cfg.TurnElements > 0 {
		r.run.turn, r.run.end = turn, (edge+r.cfg.TurnElements/2)*r.element
		return
	}
	r.run.step, r.run.end = r.step(), r.turnStart()
}

// edge is where the present element ends, in elements.
func (r *RTTY) edge() float64 {
	if r.k > r.units() {
		return r.next.start
	}
	return r.char.start + float64(r.k+1)
}

// turnStart is where the frequency begins to leave that of the present element, in samples.
func (r *RTTY) turnStart() float64 { return (r.edge() - r.cfg.TurnElements/2) * r.element }

// advance goes on to the next element.
func (r *RTTY) advance() {
	if r.k++; r.k > r.units()+1 {
		r.k, r.char, r.next = 0, r.next, r.schedule.following()
	}
}

// step is the frequency of the present element in cycles a sample.
func (r *RTTY) step() float64 {
	mark := r.k > 0 && (r.k > r.units() || r.char.code>>(r.k-1)&1 == 1)
	half := r.cfg.ShiftHz / 2
	if mark != r.cfg.Inverted {
		half = -half
	}
	return (r.cfg.CentreHz + half) / r.cfg.SampleRate
}

func (r *RTTY) units() int { return r.cfg.Encoder.Alphabet.Units() }
