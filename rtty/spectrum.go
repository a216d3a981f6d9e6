package rtty

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/dsp/fourier"
)

const (
	spectrumLength = 256 // wide samples: lines 18.75 Hz apart
	spectrumHop    = spectrumLength / 2
	lineHz         = wideRate / spectrumLength
)

// spectrum is a mean power spectrum of the wide baseband: Welch's method, with Hann windows that overlap by half.
type spectrum struct {
	fft    *fourier.CmplxFFT
	window [spectrumLength]float64
	in     [spectrumLength]complex128
	out    [spectrumLength]complex128
	power  [spectrumLength]float64 // per line, by rising frequency
	floor  [spectrumLength]float64 // of noise, from the lines around
	sorted [floorLines + 1]float64
	blocks [keptBlocks][spectrumLength]float32
	number [keptBlocks]int64 // of the blocks they are of, plus 1
}

// floorLines to each side are looked at for the noise. Its power there is that which 30 % of them are below, which a
// few strong signals do not move; the greater one counts, for at the edge of a filter one side is empty.
const (
	floorLines = 24
	floorShare = 0.3
	lowestHz   = 75.0 // where the lines count
	highestHz  = 4000.0
)

func newSpectrum() *spectrum {
	s := &spectrum{fft: fourier.NewCmplxFFT(spectrumLength)}
	sum := 0.0
	for i := range s.window {
		s.window[i] = 0.5 - 0.5*math.Cos(2*math.Pi*(float64(i)+0.5)/spectrumLength)
		sum += s.window[i] * s.window[i]
	}
	// Noise has in each line the mean |z|² over the number of lines.
	for i := range s.window {
		s.window[i] /= math.Sqrt(sum * spectrumLength)
	}
	return s
}

// measure averages over blocks from up to to, weighed against crashes.
func (s *spectrum) measure(f *front, from, to int64) {
	clear(s.power[:])
	for b := from; b < to; b++ {
		part := s.ofBlock(f, b)
		for i, p := range part {
			s.power[i] += float64(p)
		}
	}
	for i := range s.power {
		s.power[i] /= float64(max(1, to-from))
	}
	const step = 4 // the noise changes little from line to line
	least, most := line(lowestHz), line(highestHz)
	for i := 0; i < spectrumLength; i += step {
		at := min(max(i, least), most)
		floor := max(s.quiet(max(least, at-floorLines), at+1), s.quiet(at, min(most, at+floorLines)+1))
		for k := range step {
			s.floor[i+k] = floor
		}
	}
}

// quiet is the power that floorShare of some lines are below.
func (s *spectrum) quiet(lo, hi int) float64 {
	around := s.sorted[:hi-lo]
	copy(around, s.power[lo:hi])
	slices.Sort(around)
	return around[int(floorShare*float64(len(around)))]
}

// ofBlock is the mean spectrum of one block; the latest are kept.
func (s *spectrum) ofBlock(f *front, b int64) *[spectrumLength]float32 {
	kept := &s.blocks[b%keptBlocks]
	if s.number[b%keptBlocks] == b+1 {
		return kept
	}
	s.number[b%keptBlocks] = b + 1
	clear(kept[:])
	z, w := f.block(b)
	const windows = (blockLength-spectrumLength)/spectrumHop + 1
	for at := 0; at+spectrumLength <= len(z); at += spectrumHop {
		for i := range s.in {
			v := z[at+i]
			g := s.window[i] * float64(w[(at+i)/hopLength])
			s.in[i] = complex(g*float64(real(v)), g*float64(imag(v)))
		}
		s.fft.Coefficients(s.out[:], s.in[:])
		for i, v := range s.out {
			kept[(i+spectrumLength/2)%spectrumLength] += float32((real(v)*real(v) + imag(v)*imag(v)) / windows)
		}
	}
	return kept
}

// onsetShare of the power of two tones is too little for them to be there, onsetExcess times it is something else.
const (
	onsetShare  = 0.15
	onsetExcess = 10
)

// onset is the first block, from the block first on, since when two tones have been there, with gaps that are shorter
// than so many blocks.
func (s *spectrum) onset(f *front, p pair, first int64, gap int64) int64 {
	usual := (p.lower.power + p.upper.power) * float64(gap)
	sum := 0.0
	for b := f.ready - 1; b >= first; b-- {
		sum += s.excess(f, p, b)
		if b+gap >= f.ready {
			continue
		}
		if sum -= s.excess(f, p, b+gap); sum < onsetShare*usual || sum > onsetExcess*usual {
			return b + gap
		}
	}
	return first
}

// excess is the power of two tones over the noise in a block.
func (s *spectrum) excess(f *front, p pair, block int64) (sum float64) {
	part := s.ofBlock(f, block)
	for _, hz := range [...]float64{p.lower.hz, p.upper.hz} {
		for i := line(hz) - 1; i <= line(hz)+1; i++ {
			sum += float64(part[i]) - s.floor[i]
		}
	}
	return sum
}

// hz is the audio frequency of a line; lines may be between.
func hz(line float64) float64 { return wideCentreHz + (line-spectrumLength/2)*lineHz }

func line(hz float64) int {
	i := int(math.Round((hz-wideCentreHz)/lineHz)) + spectrumLength/2
	return min(max(i, 0), spectrumLength-1)
}

// beside is the noise in a line by those on the quieter side of a band: within a wide signal there is no floor.
func (s *spectrum) beside(lowHz, highHz float64) float64 {
	const enough = 8
	from, to := line(lowHz), line(highHz)
	below, above := max(line(lowestHz), from-floorLines), min(line(highestHz), to+floorLines)+1
	switch {
	case from-below >= enough && above-to >= enough:
		return min(s.quiet(below, from+1), s.quiet(to, above))
	case from-below >= enough:
		return s.quiet(below, from+1)
	case above-to >= enough:
		return s.quiet(to, above)
	}
	return s.floor[(from+to)/2]
}

// snr is the power between two frequencies, less the noise, over the noise in 2500 Hz, in dB within ±60.
func (s *spectrum) snr(lowHz, highHz float64) float64 {
	signal, floor := 0.0, 1.1*s.beside(lowHz, highHz)
	for i := line(lowHz); i <= line(highHz); i++ {
		signal += s.power[i] - floor
	}
	noise := floor * 2500 / lineHz
	return min(max(10*math.Log10((max(signal, 0)+1e-30)/(noise+1e-30)), -60), 60)
}

// tone is the power above the noise around a frequency, as that of a peak.
func (s *spectrum) tone(hz float64) (sum float64) {
	for i := max(line(hz)-1, 0); i <= min(line(hz)+1, spectrumLength-1); i++ {
		sum += s.power[i] - s.floor[i]
	}
	return sum
}

// peak is a line that stands out.
type peak struct {
	hz    float64
	power float64 // above the noise, of the lines around, as |z|²
}

const (
	leastRise = 1.7 // power over noise of a peak
	mostPeaks = 8
)

// peaks appends those between two frequencies, the strongest first.
func (s *spectrum) peaks(dst []peak, lowHz, highHz float64) []peak {
	smooth := func(i int) float64 { return s.power[i-1] + 2*s.power[i] + s.power[i+1] }
	for i := max(2, line(lowHz)); i <= min(spectrumLength-3, line(highHz)); i++ {
		a, b, c := smooth(i-1), smooth(i), smooth(i+1)
		if b < a || b <= c || b < 4*leastRise*s.floor[i] || b < 1e-30 {
			continue
		}
		at := float64(i)
		if d := a - 2*b + c; d < 0 {
			at += (a - c) / (2 * d)
		}
		p := peak{hz(at), s.power[i-1] + s.power[i] + s.power[i+1] - 3*s.floor[i]}
		k := len(dst)
		for k > 0 && dst[k-1].power < p.power {
			k--
		}
		if k == mostPeaks {
			continue
		}
		if len(dst) == mostPeaks {
			dst = dst[:mostPeaks-1]
		}
		dst = slices.Insert(dst, k, p)
	}
	return dst
}
