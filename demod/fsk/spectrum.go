package fsk

import (
	"math"
	"slices"

	"ionoscribe/demod"
)

const (
	spectrumLength = 256 // wide samples: lines 18.75 Hz apart
	spectrumHop    = spectrumLength / 2
	LineHz         = WideRate / spectrumLength // from line to line
)

// Spectrum is a mean power spectrum of the wide baseband: Welch's method, with Hann windows that overlap by half.
type Spectrum struct {
	fft    *demod.FFT
	window [spectrumLength]float32
	work   [spectrumLength]complex64
	power  [spectrumLength]float64 // per line, by rising frequency
	floor  [spectrumLength]float64 // of noise, from the lines around
	sorted [floorLines + 1]float64
	blocks [KeptBlocks][spectrumLength]float32
	number [KeptBlocks]int64 // of the blocks they are of, plus 1
}

// floorLines to each side are looked at for the noise. Its power there is that which 30 % of them are below, which a
// few strong signals do not move; the greater one counts, for at the edge of a filter one side is empty.
const (
	floorLines = 24
	floorShare = 0.3
	lowestHz   = 75.0 // where the lines count
	highestHz  = 4000.0
)

// NewSpectrum makes one.
func NewSpectrum() *Spectrum {
	s := &Spectrum{fft: demod.NewFFT(spectrumLength)}
	// The squares of a Hann window have the sum 3/8 of its length. Noise has in each line the mean |z|² over the number of lines.
	scale := 1 / math.Sqrt(3.0/8*spectrumLength*spectrumLength)
	for i := range s.window {
		s.window[i] = float32(scale * demod.Hann(i, spectrumLength))
	}
	return s
}

// Measure averages over blocks from up to to, weighed against crashes.
func (s *Spectrum) Measure(f *Front, from, to int64) {
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

// Forget forgets the spectra of blocks, which begin anew.
func (s *Spectrum) Forget() { s.number = [KeptBlocks]int64{} }

// quiet is the power that floorShare of some lines are below.
func (s *Spectrum) quiet(lo, hi int) float64 {
	around := s.sorted[:hi-lo]
	copy(around, s.power[lo:hi])
	slices.Sort(around)
	return around[int(floorShare*float64(len(around)))]
}

// ofBlock is the mean spectrum of one block; the latest are kept.
func (s *Spectrum) ofBlock(f *Front, b int64) *[spectrumLength]float32 {
	kept := &s.blocks[b%KeptBlocks]
	if s.number[b%KeptBlocks] == b+1 {
		return kept
	}
	s.number[b%KeptBlocks] = b + 1
	clear(kept[:])
	z, w := f.Block(b)
	const windows = (BlockLength-spectrumLength)/spectrumHop + 1
	for at := 0; at+spectrumLength <= len(z); at += spectrumHop {
		for i, v := range z[at:][:spectrumLength] {
			g := s.window[i] * w[(at+i)/HopLength]
			s.work[i] = complex(g*real(v), g*imag(v))
		}
		s.fft.Transform(s.work[:])
		for i, v := range s.work {
			kept[(i+spectrumLength/2)%spectrumLength] += (real(v)*real(v) + imag(v)*imag(v)) / windows
		}
	}
	return kept
}

// onsetShare of the power of two tones is too little for them to be there, onsetExcess times it is something else.
const (
	onsetShare  = 0.15
	onsetExcess = 10
)

// Onset is the first block, from the block first on, since when two tones have been there, with gaps that are shorter
// than so many blocks.
func (s *Spectrum) Onset(f *Front, lower, upper Peak, first, gap int64) int64 {
	usual := (lower.Power + upper.Power) * float64(gap)
	sum := 0.0
	for b := f.ready - 1; b >= first; b-- {
		sum += s.excess(f, lower, upper, b)
		if b+gap >= f.ready {
			continue
		}
		if sum -= s.excess(f, lower, upper, b+gap); sum < onsetShare*usual || sum > onsetExcess*usual {
			return b + gap
		}
	}
	return first
}

// excess is the power of two tones over the noise in a block.
func (s *Spectrum) excess(f *Front, lower, upper Peak, block int64) (sum float64) {
	part := s.ofBlock(f, block)
	for _, hz := range [...]float64{lower.Hz, upper.Hz} {
		for i := line(hz) - 1; i <= line(hz)+1; i++ {
			sum += float64(part[i]) - s.floor[i]
		}
	}
	return sum
}

// hz is the audio frequency of a line; lines may be between.
func hz(line float64) float64 { return WideCentreHz + (line-spectrumLength/2)*LineHz }

func line(hz float64) int {
	i := int(math.Round((hz-WideCentreHz)/LineHz)) + spectrumLength/2
	return min(max(i, 0), spectrumLength-1)
}

// Beside is the noise in a line by those on the quieter side of a band: within a wide signal there is no floor.
func (s *Spectrum) Beside(lowHz, highHz float64) float64 {
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

// SNR is the power between two frequencies, less the noise, over the noise in 2500 Hz, in dB within ±60.
func (s *Spectrum) SNR(lowHz, highHz float64) float64 {
	signal, floor := 0.0, 1.1*s.Beside(lowHz, highHz)
	for i := line(lowHz); i <= line(highHz); i++ {
		signal += s.power[i] - floor
	}
	noise := floor * 2500 / LineHz
	return min(max(10*math.Log10((max(signal, 0)+1e-30)/(noise+1e-30)), -60), 60)
}

// Tone is the power above the noise around a frequency, as that of a peak.
func (s *Spectrum) Tone(hz float64) (sum float64) {
	for i := max(line(hz)-1, 0); i <= min(line(hz)+1, spectrumLength-1); i++ {
		sum += s.power[i] - s.floor[i]
	}
	return sum
}

// Floor is the noise in a line at a frequency.
func (s *Spectrum) Floor(hz float64) float64 { return s.floor[line(hz)] }

// Peak is a line that stands out.
type Peak struct {
	Hz    float64
	Power float64 // above the noise, of the lines around, as |z|²
}

const (
	leastRise = 1.7 // power over noise of a peak
	MostPeaks = 8
)

// Peaks appends those between two frequencies, the strongest first.
func (s *Spectrum) Peaks(dst []Peak, lowHz, highHz float64) []Peak {
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
		p := Peak{hz(at), s.power[i-1] + s.power[i] + s.power[i+1] - 3*s.floor[i]}
		k := len(dst)
		for k > 0 && dst[k-1].Power < p.Power {
			k--
		}
		if k == MostPeaks {
			continue
		}
		if len(dst) == MostPeaks {
			dst = dst[:MostPeaks-1]
		}
		dst = slices.Insert(dst, k, p)
	}
	return dst
}
