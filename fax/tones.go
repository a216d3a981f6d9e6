package fax

import (
	"math"

	"gonum.org/v1/gonum/dsp/fourier"

	"ionoscribe/demod"
	"ionoscribe/fax/draw"
)

// Control tones are alternations of black and white. They are looked for in the video, as the imaginary part
// of z(n)·conj(z(n-2)): at ±400 Hz and VideoRate the phase turns by ±80 degrees in two samples, so this is
// the brightness, weighted by power, at its greatest contrast.

// toneCycle is the number of samples after which all three tones repeat: 12, 8 and 16/3 samples a cycle.
// A hop is three of them, 40 ms: a tone of 675 Hz that is 1 % off (tolerance from WMO-No. 386, from memory,
// doubtful) turns by 0.27 cycles in it and keeps 78 % of its power.
const (
	toneCycle = 48
	toneHop   = 3 * toneCycle
	toneHopHz = VideoRate / toneHop
)

// A tone is believed when it fills a window of toneHops hops, 2.2 s, but for toneGaps groups of toneGroup hops
// (160 ms). Its phase is steady over all of it, so the window is summed coherently, at each of toneTrials
// frequencies within toneTolerance. A window resolves 0.45 Hz; the trials are 0.25 Hz apart at 675 Hz, which loses
// 23 % of the power at most.
const (
	toneHops      = 56
	toneGroup     = 4
	toneGaps      = 2
	toneKept      = toneHops + 40 // hops kept, to look for the beginning
	toneEvery     = 6             // hops between searches
	toneTrials    = 65            // odd
	toneTolerance = 0.012         // 1 %, the clock, and what is not resolved
)

// Bounds on the share of the video's power that is in a tone. At -3 dB SNR a tone has 0.09, one of 675 Hz that is
// 1 % off 0.055; the coherent sum of noise alone has 2/(toneHop·toneHops) = 0.00025 on average and, being
// exponential, not once in 10^50 as much as toneShare. A group in which the tone has less than the amplitude of the share toneGap is a gap:
// noise of mean share 2/(toneHop·toneGroup) does that to a tone of 675 Hz at -3 dB once in 500 groups.
const (
	toneShare = 0.03
	toneGap   = 0.0064
	// The end is told by one group: noise alone exceeds toneTailShare once in 5000 times.
	toneTailShare = 0.03
	toneTail      = toneGroup // hops by which the end is noticed late, about
)

var toneHz = [...]float64{StartHz576, StartHz288, StopHz}

// toneSearch watches for control tones.
type toneSearch struct {
	before [2]complex64 // the last two samples
	fold   [toneCycle]float32
	n, at  int // samples of the present hop, where it begins in video
	power  float32
	video  [toneHops * toneHop]complex64    // the last samples, a ring of hops
	wave   [len(toneHz)][toneKept]complex64 // amplitude and phase by hop, the size squared being the tone's share
	hop    int64
	valid  int64 // first hop of the present search

	sounding bool    // a tone does, number tone,
	tone     int     //
	hz       float64 // with this error of its frequency
	missing  int     // hops in a row without it

	spectra *toneSpectra
}

// toneSpectra are made when they are asked for first, and kept.
type toneSpectra struct {
	asked int // so often in all
	z     []complex128
	x     []float64
	real  *fourier.FFT
	whole *fourier.CmplxFFT
	lines []complex128
}

func (t *toneSpectra) make() {
	const n = toneHops * toneHop
	if t.z == nil {
		t.z, t.x, t.lines = make([]complex128, n), make([]float64, n), make([]complex128, n)
		t.real, t.whole = fourier.NewFFT(n), fourier.NewCmplxFFT(n)
	}
	t.asked++
}

// toneFound is a control tone that has just been believed.
type toneFound struct {
	hz   float64
	from int64 // video index where it began
}

var toneTable = makeToneTable()

func makeToneTable() (t [len(toneHz)][toneCycle]complex64) {
	for i, hz := range toneHz {
		for k := range t[i] {
			s, c := math.Sincos(2 * math.Pi * hz / VideoRate * float64(k))
			t[i][k] = complex64(complex(c, -s))
		}
	}
	return t
}

// add takes samples; found is called for each tone when it is believed.
func (t *toneSearch) add(z []complex64, found func(toneFound)) {
	for _, c := range z {
		p := t.before[0]
		v := imag(c)*real(p) - real(c)*imag(p)
		t.before[0], t.before[1] = t.before[1], c
		t.fold[t.n%toneCycle] += v
		t.power += v * v
		t.video[t.at+t.n] = c
		t.n++
		if t.n == toneHop {
			t.endHop(found)
		}
	}
}

func (t *toneSearch) endHop(found func(toneFound)) {
	mean := float32(0)
	for _, v := range t.fold {
		mean += v
	}
	mean /= toneHop
	spread := t.power - toneHop*mean*mean
	scale := float32(0) // a crash of static counts no more than any other hop
	if spread > 0 {
		scale = demod.Sqrt32(2 / (toneHop * spread))
	}
	slot := t.hop % toneKept
	for i := range toneHz {
		var sum complex64
		for k, v := range t.fold {
			sum += complex(v, 0) * toneTable[i][k]
		}
		t.wave[i][slot] = sum * complex(scale, 0)
	}
	t.hop++
	t.fold, t.power, t.n = [toneCycle]float32{}, 0, 0
	t.at = int(t.hop%toneHops) * toneHop
	switch {
	case t.sounding:
		if sum, _ := t.coherent(t.tone, toneGroup, t.hz); sum*sum < toneTailShare {
			t.missing++
		} else {
			t.missing = 0
		}
		if t.missing > 1 {
			t.sounding, t.valid = false, t.hop
		}
	case t.hop-t.valid >= toneHops && t.hop%toneEvery == 0:
		for i, hz := range toneHz {
			if from, off, ok := t.search(i); ok {
				t.sounding, t.tone, t.hz, t.missing = true, i, off, 0
				found(toneFound{hz, from * toneHop})
				break
			}
		}
	}
}

// coherent is the mean amplitude of tone i over the last hops, if it is off by hz, and its phase in the last of them
// as a unit vector.
func (t *toneSearch) coherent(i, hops int, hz float64) (amplitude float64, phase complex64) {
	turn := demod.Cis(2 * math.Pi * hz / toneHopHz)
	var sum complex64
	for h := t.hop - int64(hops); h < t.hop; h++ {
		sum = sum*turn + t.wave[i][h%toneKept]
	}
	a := abs(sum)
	return float64(a) / float64(hops), sum * complex(1/(a+1e-30), 0)
}

// search looks for tone i in the last hops. It says at which hop it began and by how many Hz it is off.
func (t *toneSearch) search(i int) (from int64, off float64, ok bool) {
	share := float32(0) // the coherent sum cannot hold more
	for h := t.hop - toneHops; h < t.hop; h++ {
		w := t.wave[i][h%toneKept]
		share += (real(w)*real(w) + imag(w)*imag(w)) / toneHops
	}
	if share < toneShare {
		return 0, 0, false
	}
	best := 0.0
	for k := range toneTrials {
		hz := (float64(k)/(toneTrials-1)*2 - 1) * toneTolerance * toneHz[i]
		if a, _ := t.coherent(i, toneHops, hz); a > best {
			best, off = a, hz
		}
	}
	if best*best < toneShare {
		return 0, 0, false
	}
	// Back from the last hop: the tone began where what is in phase with it is no longer worth half of it.
	_, phase := t.coherent(i, toneHops, off)
	back := demod.Cis(-2 * math.Pi * off / toneHopHz)
	gaps, group, sum, most := 0, 0.0, 0.0, 0.0
	for h := t.hop - 1; h >= max(t.valid, t.hop-toneKept); h-- {
		w := t.wave[i][h%toneKept]
		a := float64(real(w)*real(phase) + imag(w)*imag(phase))
		group += a / toneGroup
		if n := t.hop - h; n <= toneHops && n%toneGroup == 0 {
			if group*group < toneGap || group < 0 {
				gaps++
			}
			group = 0
		}
		if sum += a - best/2; sum > most {
			most, from = sum, h
		}
		phase *= back
	}
	if gaps > toneGaps {
		return from, off, false
	}
	if t.spectra == nil {
		t.spectra = new(toneSpectra)
	}
	t.spectra.make()     // only when all else fits
	z := t.spectra.z[:0] // oldest first
	for h := range int64(toneHops) {
		for _, c := range t.video[(t.hop+h)%toneHops*toneHop:][:toneHop] {
			z = append(z, complex128(c))
		}
	}
	return from, off, t.spectra.strongestLine(toneHz[i]) && t.spectra.alternates(toneHz[i]+off, toneLines[i])
}

// otherLines is the power that other lines may have. At -3 dB SNR the strongest of 4000 lines of noise had 0.13 of a
// tone's power in 270 trials; in an hour of synthetic music it had 0.5 once and 1 or more 55 times.
const otherLines = 0.25

// strongestLine reports whether the tone at hz is by far the strongest line of the brightness: sounds with
// harmonics have lines at 300, 450 or 675 Hz by chance, but many more.
func (t *toneSpectra) strongestLine(hz float64) bool {
	const low = 100 // Hz; below lie lines, fades, beats
	z, x := t.z, t.x
	clear(x)
	bin := VideoRate / float64(len(z))
	for h := 0; h < len(z); h += toneHop {
		part := x[h : h+toneHop]
		mean := 0.0
		for i := range part {
			if k := h + i; k >= 2 {
				part[i] = imag(z[k])*real(z[k-2]) - real(z[k])*imag(z[k-2])
			}
			mean += part[i] / toneHop
		}
		power := 1e-30
		for i := range part {
			part[i] -= mean
			power += part[i] * part[i]
		}
		power = 1 / math.Sqrt(power)
		for i := range part {
			part[i] *= power
		}
	}
	inside, outside := 0.0, 0.0
	for k, c := range t.real.Coefficients(t.lines[:len(x)/2+1], x)[:len(x)/2] {
		p := real(c)*real(c) + imag(c)*imag(c)
		switch f := float64(k) * bin; {
		case math.Abs(f-hz) < 1.5*toneTolerance*hz:
			inside = max(inside, p)
		case f > low:
			outside = max(outside, p)
		}
	}
	return outside < otherLines*inside
}

// An alternation between black and white at hz is frequency modulation: lines hz apart, which have 0.11, 0.30, 0.17, 0.30
// and 0.11 of the power at 300 Hz, 0.12, 0.74 and 0.12 at 675 Hz, 0.22, 0.50 and 0.22 at 450 Hz (Fourier series of a
// carrier that is keyed by ±400 Hz), and an envelope that is constant. Two signals that are hz apart have two lines,
// and any that are keyed or beat have no constant envelope.
var toneLines = [...]int{5, 3, 3}

const (
	// The last of these lines may be 9 dB weaker against the strongest than at 675 Hz: as deep a fade of it alone.
	lastLine = 0.02
	// So much of the lines' power must be of constant envelope. Moments of two Morse signals of like strength leave 0.3;
	// through F.1487's channels, where two paths beat, as many start tones are heard as without this test.
	constantLines = 0.65
	// lineWidthHz to each side belong to a line: a second's window and the spread of moderate fading.
	lineWidthHz = 1.5
)

// alternates reports whether the video is such an alternation, of so many lines.
func (t *toneSpectra) alternates(hz float64, lines int) bool {
	z := t.z
	bin := VideoRate / float64(len(z))
	middle := len(z) / 2
	sums := make([]float64, len(z)+1) // of the power in the bins, from the lowest frequency on
	spectrum := t.whole.Coefficients(t.lines, z)
	for i := range z {
		c := spectrum[(i+len(z)-middle)%len(z)]
		sums[i+1] = sums[i] + real(c)*real(c) + imag(c)*imag(c)
	}
	width := int(lineWidthHz / bin)
	var best [5]float64 // the strongest lines of the strongest comb, and
	most := 0.0         // the power in all of its lines
	for first := -draw.PassHz; first < -draw.PassHz+hz; first += bin {
		var strongest [5]float64
		all := 0.0
		for f := first; f <= draw.PassHz; f += hz {
			k := middle + int(math.Round(f/bin))
			p := sums[k+width+1] - sums[k-width]
			all += p
			for i := range strongest {
				if p > strongest[i] {
					p, strongest[i] = strongest[i], p
				}
			}
		}
		if all > most {
			most, best = all, strongest
		}
	}
	return best[lines-1] > lastLine*best[0] && constantShare(z) > constantLines*most/sums[len(z)]
}

// constantShare is the share of the power of z that is of constant envelope.
func constantShare(z []complex128) float64 {
	const stretch = fadeCells * cellLength
	var e envelopeMoments
	for i := 0; i+stretch <= len(z); i += stretch {
		var m2, m4 float64
		for _, c := range z[i : i+stretch] {
			p := real(c)*real(c) + imag(c)*imag(c)
			m2 += p
			m4 += p * p
		}
		e.add(m2, m4, stretch)
	}
	return e.share()
}

func abs(c complex64) float32 { return demod.Sqrt32(real(c)*real(c) + imag(c)*imag(c)) }

// present reports whether the tone still sounds; that it has ended is noticed toneTail hops after.
func (t *toneSearch) present(hz float64) bool { return t.sounding && toneHz[t.tone] == hz }
