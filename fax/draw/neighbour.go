package draw

import (
	"math"
	"slices"

	"ionoscribe/demod"
)

// A neighbour is another signal in the video: Morse, a teleprinter, a carrier or speech, beside the picture's band or
// in it. Its spectrum stands out from what is expected without it. What is left of the video when the picture is taken
// off is limited to that, line by line of its short spectra, and what the limiter removes is taken off the video:
//
//	cleaned = video - (residual - limited residual)
//
// Before anything is known of the picture, the residual is the video itself, and only what lies outside the picture's
// band is looked at; there the picture's spectrum falls from its levels outward and never rises. Once the picture is
// drawn, the residual is the video less what its levels would have sounded like, and all of the band is looked at.

const (
	// sideHz is the distance from the middle between black and white beyond which the spectrum of a picture only falls:
	// white and black are 400 Hz away, and strokes of two pixels have their sidebands within as much again.
	sideHz   = 800.0
	sideBins = 57
	// standsOut is by how much, in power, a line of the spectrum must exceed what is expected. The mean of 50 spectra
	// and more has a standard deviation of 0.15 at most.
	standsOut = 4.0
	// neighbourShare is the share of the video's power below which a neighbour does not matter.
	neighbourShare = 0.003
)

// limits are the greatest power of each line of a short spectrum that is left as it is.
type limits []float64

// powerSpectrum is the mean power of the lines of at most count short spectra between from and to.
func powerSpectrum(v *Video, from, to int64, count int) []float64 {
	power := make([]float64, spectrumLength)
	z, short := make([]complex64, spectrumLength), newShortSpectra()
	step := max((to-from)/int64(count), spectrumLength/2)
	n := 0.0
	for at := from; at+spectrumLength <= to; at += step {
		v.Read(z, at)
		for k, c := range short.of(z) {
			power[k] += real(c)*real(c) + imag(c)*imag(c)
		}
		n++
	}
	for k := range power {
		power[k] /= max(n, 1)
	}
	return power
}

var hann = func() (w [spectrumLength]float64) {
	for i := range w {
		w[i] = demod.Hann(i, spectrumLength)
	}
	return w
}()

// outside is what is expected of a spectrum, if there is no neighbour beyond sideHz from offset: it only falls there.
func outside(power []float64, offset float64) []float64 {
	const bin = VideoRate / spectrumLength
	expected := slices.Clone(power)
	for _, side := range []float64{1, -1} {
		at := func(k int) *float64 {
			return &expected[(int(math.Round(offset/bin+side*float64(k)))+2*spectrumLength)%spectrumLength]
		}
		least := math.Inf(1)
		for k := sideBins; math.Abs(offset/bin+side*float64(k)) < spectrumLength/2; k++ {
			least = min(least, (*at(k - 1)+*at(k - 2)+*at(k - 3)+*at(k - 4))/4)
			*at(k) = min(*at(k), least)
		}
	}
	return expected
}

// expectLeft is what is expected of the spectrum of a residual if there is no neighbour: noise, which is as strong at all
// frequencies, and a share of the picture's own spectrum, which errors of gain, of levels and of edges leave.
func expectLeft(left, sent []float64) []float64 {
	var quiet []float64
	for k, p := range left {
		if math.Abs(circular(float64(k), spectrumLength))*VideoRate/spectrumLength < PassHz {
			quiet = append(quiet, p)
		}
	}
	slices.Sort(quiet)
	noise := quiet[len(quiet)/4] // a neighbour and what it spreads fill less than three quarters of the band
	var shares []float64
	for k, p := range sent {
		if p > 4*noise {
			shares = append(shares, max(left[k]-noise, 0)/p)
		}
	}
	share := 0.0
	if len(shares) > 0 {
		slices.Sort(shares)
		share = shares[len(shares)/2]
	}
	expected := make([]float64, len(left))
	for k := range expected {
		expected[k] = noise + share*sent[k]
	}
	return expected
}

// newLimits are those that bring power to what is expected; nil if nothing stands out. Beside a line that stands out a
// neighbour's spectrum falls slowly: the lines around it are limited too, as far as they are above what is expected.
func newLimits(power, expected []float64) limits {
	const above = 1.5
	n := len(power)
	l := make(limits, n)
	var excess, total float64
	for k, p := range power {
		l[k] = math.Inf(1)
		total += p
	}
	for k, p := range power {
		if p <= standsOut*expected[k] {
			continue
		}
		excess += p - expected[k]
		for _, side := range []int{1, n - 1} {
			for i := k; power[i] > above*expected[i] && (i == k || l[i] > expected[i]); i = (i + side) % n {
				l[i] = expected[i]
			}
		}
	}
	if excess < neighbourShare*total {
		return nil
	}
	return l
}

// between is the share of the lines from black to white that are limited.
func (l limits) between(t tuning) float64 {
	low, high := int((t.offset-t.deviation)*spectrumLength/VideoRate), int((t.offset+t.deviation)*spectrumLength/VideoRate)
	n := 0
	for k := low; k <= high; k++ {
		if !math.IsInf(l[(k+len(l))%len(l)], 1) {
			n++
		}
	}
	return float64(n) / float64(high-low+1)
}

// someBetween is a share of the lines from black to white that a neighbour may fill: Morse fills a quarter of them,
// greys that the trellis took for black and white 0.4 of them at 10 dB, 0.8 from 20 dB on (simulation).
const someBetween = 1.0 / 3

// clean is v less what the limits remove of residual.
func (l limits) clean(v, residual *Video) *Video {
	// Four Hann windows overlap, at the analysis and at the synthesis: their products add up to 1.5 everywhere.
	const hop = spectrumLength / 4
	w := &Video{first: v.first, end: v.first}
	z, short := make([]complex64, spectrumLength), newShortSpectra()
	removed := make([]complex64, spectrumLength)
	for at := v.first - spectrumLength + hop; at < v.end; at += hop {
		residual.Read(z, at)
		y, over := short.of(z), false
		for k, c := range y {
			if p := real(c)*real(c) + imag(c)*imag(c); p > 2*l[k] {
				y[k] = c * complex(1-math.Sqrt(l[k]/p), 0)
				over = true
			} else {
				y[k] = 0
			}
		}
		if over {
			for i, c := range short.back(y) {
				w := hann[i] / (1.5 * spectrumLength)
				removed[i] += complex(float32(real(c)*w), float32(imag(c)*w))
			}
		}
		n := min(hop, v.end-at)
		if at >= v.first {
			v.Read(z[:n], at)
			for i := range z[:n] {
				z[i] -= removed[i]
			}
			w.Append(z[:n])
		}
		clear(removed[copy(removed, removed[hop:]):])
	}
	return w
}

// withoutOutside is v less what lies outside the band of a picture around offset Hz from index from to index to; it is v
// itself if there is nothing.
func (v *Video) withoutOutside(from, to int64, offset float64) *Video {
	power := powerSpectrum(v, from, to, 128)
	if f := newLimits(power, outside(power, offset)); f != nil {
		return f.clean(v, v)
	}
	return v
}

// follower receives the rows of a picture in order.
type follower interface{ follow(row int) *course }

// withoutNeighbours is v less the neighbours that are left when the lines of a picture, as f follows them by source's
// grid, are taken off it. It is nil if there is none.
func withoutNeighbours(v *Video, source *lineSource, f follower, rows int) (*Video, limits) {
	const groups, few = 6, 4 // places down the chart that tell whether there is one, and rows at each
	r := newResidual(source)
	power, sent := make([]float64, spectrumLength), make([]float64, spectrumLength)
	var left, all float64
	for j := range groups {
		first := (2*j + 1) * max(rows-few, 0) / (2 * groups)
		part, model := &Video{}, &Video{}
		for row := first; row < min(first+few, rows); row++ {
			r.append(part, model, v, row, f.follow(row))
		}
		left += part.power(0, part.end)
		from := int64(source.grid.start(first))
		all += v.power(from, from+part.end)
		for k, p := range powerSpectrum(part, 0, part.end, int(part.end)) {
			power[k] += p / groups
		}
		for k, p := range powerSpectrum(model, 0, model.end, int(model.end)) {
			sent[k] += p / groups
		}
	}
	if newLimits(power, expectLeft(power, sent)) == nil || left < neighbourShare*all {
		return nil, nil
	}
	first := int64(source.grid.start(0))
	whole, model := &Video{first: first, end: first}, &Video{first: first, end: first}
	for row := range rows {
		r.append(whole, model, v, row, f.follow(row))
	}
	power, sent = powerSpectrum(whole, whole.first, whole.end, 512), powerSpectrum(model, model.first, model.end, 512)
	if w := newLimits(power, expectLeft(power, sent)); w != nil {
		return w.clean(v, whole), w
	}
	return nil, nil
}
