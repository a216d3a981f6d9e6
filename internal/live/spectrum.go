package live

import (
	"math/cmplx"
	"time"

	"gonum.org/v1/gonum/dsp/fourier"

	"ionoscribe/demod"
	"ionoscribe/internal/station"
)

const (
	rowSeconds = 0.1
	// mostRows is how many rows may come at once: blocks of a receiver last half a second or so, and of a recording that is heard
	// faster than it sounds ten rows a second are shown.
	mostRows = 10
	// mostSums is how many transforms the power of a row is the mean of: its spread is then 0.5 dB, a step of a row's bytes.
	mostSums = 64
)

// spectrum makes rows of a receiver's samples. It is used by the receiver's goroutine alone. Audio is transformed as complex samples
// are: ten rows a second cost nothing that shows.
type spectrum struct {
	layout
	iq     bool
	perRow int // samples
	hop    int // samples from one transform to the next
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

func newSpectrum(t tuning) *spectrum {
	s := &spectrum{layout: layoutOf(t), iq: t.iq, perRow: int(rowSeconds * t.rate), tokens: mostRows}
	s.hop = max(s.length/2, s.perRow/mostSums)
	s.window = make([]float64, s.length)
	sum := 0.0
	for i := range s.window { // Hann
		s.window[i] = demod.Hann(i, s.length)
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
	for at := 0; at < b.Len(); {
		n := min(b.Len()-at, s.perRow-s.ofRow, s.hop-s.since, s.length)
		s.push(b, at, n)
		at += n
		s.since += n
		s.ofRow += n
		ends := s.ofRow == s.perRow
		if ends || s.since == s.hop {
			s.since = 0
			if s.tokens >= 1 && len(s.latest) >= s.length {
				s.transform()
			}
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
			f(s.row, at, s.power)
			clear(s.power)
			s.sums = 0
		}
		s.row++
	}
}

// push appends n samples of a block, as many as a transform takes at most, to the latest ones.
func (s *spectrum) push(b station.Block, at, n int) {
	if len(s.latest)+n > cap(s.latest) {
		s.latest = s.latest[:copy(s.latest, s.latest[len(s.latest)-s.length:])]
	}
	for i := at; i < at+n; i++ {
		var z complex128
		if s.iq {
			z = complex128(b.IQ[i])
		} else {
			z = complex(float64(b.Audio[i]), 0)
		}
		if cmplx.IsNaN(z) || cmplx.IsInf(z) { // what is no number is silence
			z = 0
		}
		s.latest = append(s.latest, z)
	}
}

// transform adds the power of the latest samples to that of the row.
func (s *spectrum) transform() {
	for i, z := range s.latest[len(s.latest)-s.length:] {
		w := s.window[i]
		s.in[i] = complex(w*real(z), w*imag(z))
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
	s.sums++
}
