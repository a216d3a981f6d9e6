package live

import (
	"math"
	"time"

	"gonum.org/v1/gonum/dsp/fourier"

	"ionoscribe/internal/station"
)

const (
	mostBins   = 1024
	rowSeconds = 0.1
	audioTop   = 4000.0 // Hz; a receiver's audio ends there
	// mostRows is how many rows may come at once: blocks of a receiver last half a second or so, and of a recording that is heard
	// faster than it sounds ten rows a second are shown.
	mostRows = 10
)

// layout is how the bins of a receiver's spectrum lie.
type layout struct {
	length int     // of a transform
	bins   int     // of a row
	binHz  float64 //
	lowHz  float64 // of bin 0
	highHz float64
	turned bool // the lower sideband: frequencies on the air fall as those of the audio rise
}

func layoutOf(in *station.Status) layout {
	l := layout{length: 2}
	if in.IQ {
		for l.length < mostBins && in.Rate/float64(l.length) > 4 { // Hz: finer than any tone is wide
			l.length *= 2
		}
		l.bins, l.binHz = l.length, in.Rate/float64(l.length)
		l.lowHz = in.DialHz - in.Rate/2
		l.highHz = in.DialHz + in.Rate/2
		return l
	}
	top := min(audioTop, in.Rate/2)
	for in.Rate/float64(l.length)*mostBins > top && float64(l.length) < in.Rate { // a bin is 4 to 8 Hz wide
		l.length *= 2
	}
	if top/(in.Rate/float64(l.length)) > mostBins {
		l.length /= 2
	}
	l.binHz = in.Rate / float64(l.length)
	l.bins = int(top / l.binHz)
	l.lowHz, l.highHz = 0, float64(l.bins)*l.binHz
	if in.DialHz != 0 {
		l.lowHz, l.highHz = in.DialHz, in.DialHz+l.highHz
		if in.Lower {
			l.turned = true
			l.lowHz, l.highHz = 2*in.DialHz-l.highHz, in.DialHz
		}
	}
	return l
}

// spectrum makes rows of a receiver's samples. It is used by the receiver's goroutine alone. Audio is transformed as complex samples
// are: ten rows a second cost nothing that shows.
type spectrum struct {
	layout
	iq     bool
	perRow float64 // samples
	window []float64
	scale  float64
	fft    *fourier.CmplxFFT

	latest []complex128 // samples, the newest last
	in     []complex128
	out    []complex128
	power  []float64 // sum of the transforms of a row
	sums   int

	since  int // samples since the last transform
	row    uint32
	ofRow  int     // samples since the last row
	tokens float64 // rows that may come now
	filled time.Time
}

func newSpectrum(st *station.Status) *spectrum {
	s := &spectrum{layout: layoutOf(st), iq: st.IQ, perRow: rowSeconds * st.Rate, tokens: mostRows}
	s.window = make([]float64, s.length)
	sum := 0.0
	for i := range s.window { // Hann
		s.window[i] = 0.5 - 0.5*math.Cos(2*math.Pi*(float64(i)+0.5)/float64(s.length))
		sum += s.window[i]
	}
	s.scale = 1 / (sum * sum)
	if !s.iq {
		s.scale *= 4 // half of a sine's amplitude is at its negative frequency
	}
	s.fft = fourier.NewCmplxFFT(s.length)
	s.latest = make([]complex128, 0, 4*s.length)
	s.in, s.out = make([]complex128, s.length), make([]complex128, s.length)
	s.power = make([]float64, s.bins)
	return s
}

// refill gives tokens for the time that has passed.
func (s *spectrum) refill(now time.Time) {
	if !s.filled.IsZero() {
		s.tokens = min(mostRows, s.tokens+now.Sub(s.filled).Seconds()/rowSeconds)
	}
	s.filled = now
}

// add takes samples and calls f with each row that is complete, its number and how many of the samples came before its end.
func (s *spectrum) add(b station.Block, f func(row uint32, samples int, power []float64)) {
	for i := range b.Len() {
		if len(s.latest) == cap(s.latest) {
			s.latest = s.latest[:copy(s.latest, s.latest[len(s.latest)-s.length:])]
		}
		if s.iq {
			s.latest = append(s.latest, complex128(b.IQ[i]))
		} else {
			s.latest = append(s.latest, complex(float64(b.Audio[i]), 0))
		}
		s.since++
		s.ofRow++
		ends := float64(s.ofRow) >= s.perRow
		if s.tokens >= 1 && len(s.latest) >= s.length && (ends || s.since >= s.length/2) {
			s.transform()
		}
		if !ends {
			continue
		}
		s.ofRow = 0
		if s.sums > 0 {
			for k := range s.power {
				s.power[k] *= s.scale / float64(s.sums)
			}
			s.tokens--
			f(s.row, i+1, s.power)
			clear(s.power)
			s.sums = 0
		}
		s.row++
	}
}

// transform adds the power of the latest samples to that of the row.
func (s *spectrum) transform() {
	for i, z := range s.latest[len(s.latest)-s.length:] {
		if z-z != 0 { // what is no number is silence
			z = 0
		}
		s.in[i] = z * complex(s.window[i], 0)
	}
	z := s.fft.Coefficients(s.out, s.in)
	for k := range s.power {
		v := z[k]
		switch {
		case s.iq:
			v = z[(k+s.length/2)%s.length] // from the lowest frequency on
		case s.turned:
			v = z[s.bins-1-k]
		}
		s.power[k] += real(v)*real(v) + imag(v)*imag(v)
	}
	s.since = 0
	s.sums++
}
