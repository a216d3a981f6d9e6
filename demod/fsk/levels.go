package fsk

import (
	"math"

	"ionoscribe/demod"
)

const (
	// levelSeconds to both sides a tone's level is averaged. A path of 0.5 Hz Doppler spread keeps its level for about
	// as long (1/2π·0.25 Hz = 0.6 s); at 45 Bd that has some twenty elements, enough for a tenth of the level.
	levelSeconds = 0.25
	// narrowSeconds to both sides it is averaged too, for fades that are quicker, unless the signal is so weak, by its
	// power over the noise of an element, that this would be noise. Both levels are as likely as each other; the
	// numbers are the best of a few that were tried on the channels of ITU-R F.1487.
	narrowSeconds = 0.07
	weakRatio     = 16
	// noiseSeconds is the time constant of the noise.
	noiseSeconds = 2.0
	// mostRatio bounds energy over noise of an element at 45 Bd: what makes errors at 18 dB is not noise. At other rates
	// it bounds the same power over noise density, so that likelihoods at different rates compare.
	mostRatio = 60
	baud45    = 1 / 0.022 // elements of 22 ms
	// reserve is the weight, in grid points, of no tone at all in the mean: a tone that is not heard fades away. To
	// keep its level of old instead would make sure that it is not heard again after a fade.
	reserve = 2
	// leastRatio is the least energy over noise of an element that is reckoned with: 6 dB, which text has at -8 to -11 dB in 2500 Hz
	// at 100 to 45 Bd, about where it can just be read. In a fade below that the level is not known: the guess of what is sent fails,
	// and the level with it, and then what little there is would count as nothing. Too high a level for both tones costs little,
	// since only the difference of their likelihoods counts. Through the channels of ITU-R F.1487, ratios of 3 to 6 were best.
	leastRatio = 4
)

// Levels weighs the outputs of the filters: mark and space each have a level and a noise of their own, since they fade
// apart. Power is of a filter's output, scaled so that a tone of amplitude A has A².
//
// It looks twice. With the levels up to now it guesses which tone is sent, and with that guess averages the levels
// before and after; those make the likelihoods.
type Levels struct {
	width   int64 // grid points to each side
	narrow  int64 // the same, for quick fades
	windows int64 // outputs taken so far
	done    int64 // likelihoods that are ready

	power  [2][GridSize]float32 // |output|²
	weight [GridSize]float32    // 1 but in crashes
	isMark [GridSize]float32    // guess: probability of mark
	// Running sums of the weights and of the powers when the tone is on, and of halves for the tuning.
	on, onPower [2][GridSize]float64
	halves      [2][GridSize]complex64
	most        float32    // level over noise
	slow        [2]float32 // level of old
	noise       [2]float32
	fixed       [2]float32 // the noise to reckon with, if not 0
	noiseShare  float32
	fades       float64       // share of characters with a quick fade
	turn        [2]complex128 // of halves when on, since last asked

	// Likely is the log-likelihood of each tone against noise alone, for the element that begins at a grid point (modulo GridSize).
	Likely [2][GridSize]float32
}

func (l *Levels) begin(baud float64, power, noise [2]float32) {
	l.width = int64(math.Round(max(levelSeconds*baud, 8) * PerElement))
	l.width = min(l.width, GridSize/4)
	l.narrow = int64(math.Round(min(max(narrowSeconds*baud, 4)*PerElement, GridSize/4)))
	l.windows, l.done, l.fades = 0, 0, 0
	l.slow, l.noise, l.fixed = power, noise, [2]float32{}
	l.most = float32(mostRatio * baud45 / baud)
	l.noiseShare = float32(1 / (noiseSeconds * baud * PerElement))
	l.turn = [2]complex128{}
	for k := range 2 {
		clear(l.on[k][:])
		clear(l.onPower[k][:])
	}
}

// take takes the outputs that t has ready.
func (l *Levels) take(t *Tones) {
	for ; l.windows+PerElement < t.points; l.windows++ {
		g := l.windows
		i := g & GridMask
		out, halves, weight := t.element(g)
		l.weight[i] = float32(weight)
		for k, z := range out {
			l.power[k][i] = float32(real(z)*real(z) + imag(z)*imag(z))
			l.halves[k][i] = complex64(halves[k])
		}
		a := l.likelihood(Mark, g, g-2*l.width, g-3)
		b := l.likelihood(Space, g, g-2*l.width, g-3)
		l.isMark[i] = Logistic(a - b)
		l.guess(g - 2)
	}
	for ; l.done+l.width+2 < l.windows; l.done++ {
		weak := (l.slow[Mark] + l.slow[Space]) < (l.noise[Mark]+l.noise[Space])*(1+weakRatio)
		for k := range 2 {
			if weak {
				l.Likely[k][l.done&GridMask] = l.likelihood(k, l.done, l.done-l.width, l.done+l.width)
				continue
			}
			l.Likely[k][l.done&GridMask] = Either(
				l.likelihood(k, l.done, l.done-l.width, l.done+l.width),
				l.likelihood(k, l.done, l.done-l.narrow, l.done+l.narrow))
		}
	}
}

// Done is the number of grid points whose likelihoods are ready.
func (l *Levels) Done() int64 { return l.done }

// Power is the power of both tones together when they are on, and that of what is heard of them while they are off.
func (l *Levels) Power() (on, off float32) { return l.slow[0] + l.slow[1], l.noise[0] + l.noise[1] }

// FixNoise reckons with the noise as it is now: suppositions compare only by the same noise.
func (l *Levels) FixNoise() { l.fixed = l.noise }

// guess adds point g to the levels. A tone is on if it looks so a quarter of an element before and after too, so that
// halves of elements do not count.
func (l *Levels) guess(g int64) {
	if g < 2 {
		return
	}
	i, before := g&GridMask, (g-1)&GridMask
	a, b, c := l.isMark[(g-2)&GridMask], l.isMark[i], l.isMark[(g+2)&GridMask]
	w := l.weight[i]
	for k := range 2 {
		on, off := w*a*b*c, w*(1-a)*(1-b)*(1-c)
		if k == Space {
			on, off = off, on
		}
		p := l.power[k][i]
		l.on[k][i] = l.on[k][before] + float64(on)
		l.onPower[k][i] = l.onPower[k][before] + float64(on*p)
		l.slow[k] += l.noiseShare * on * (p - l.slow[k])
		l.noise[k] += l.noiseShare * off * (p*w - l.noise[k])
		h := l.halves[k][i]
		l.turn[k] += complex(float64(on*real(h)), float64(on*imag(h)))
	}
}

// likelihood is that of tone k for the element at g against noise alone, with the level between two points.
func (l *Levels) likelihood(k int, g, from, to int64) float32 {
	level, noise := l.level(k, from, to)
	w := l.weight[g&GridMask] / noise
	return demod.LogI0(2*demod.Sqrt32(level*l.power[k][g&GridMask])*w) - level*w
}

// level is the power of the tone and of the noise.
func (l *Levels) level(k int, from, to int64) (level, noise float32) {
	to = max(to, 0)
	i, j := max(from, 0, to-GridSize+64)&GridMask, to&GridMask
	on, power := float32(l.on[k][j]-l.on[k][i]), float32(l.onPower[k][j]-l.onPower[k][i])
	noise = max(l.noise[k], 1e-20)
	if l.fixed[k] != 0 {
		noise = l.fixed[k]
	}
	level = max((power+reserve*noise)/(on+reserve)-noise, leastRatio*noise)
	if l.fixed[k] != 0 {
		// Suppositions compare only by the same noise for all that is heard: a weak tone explains little.
		return level, max(noise, l.errors())
	}
	return level, max(noise, level/l.most)
}

// errors is the noise that keying makes in either filter, by the stronger tone.
func (l *Levels) errors() float32 { return max(l.slow[Mark], l.slow[Space]) / l.most }

// Steady says whether one of the tones is there while it should be off, nearly as strong as when it is on: FSK has one
// tone at a time.
func (l *Levels) Steady() bool {
	const least = 3
	return l.slow[Mark] < least*l.noise[Mark] || l.slow[Space] < least*l.noise[Space]
}

// UnknownPhase is what an element loses in likelihood because its phase is not known: ln I0(2a) is 2a less that. The
// more elements a second a rate has, the more it would seem to lose on a steady tone, which every rate explains alike.
func (l *Levels) UnknownPhase() (loss float64) {
	for k, level := range l.slow {
		a := min(level/max(l.fixed[k], l.errors()), l.most)
		loss += math.Log(4*math.Pi*float64(max(a, 1))) / 4
	}
	return loss
}
