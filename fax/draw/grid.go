package draw

import "math"

// grid says where the lines and steps of a chart lie in its video.
type grid struct {
	origin  float64 // video index at which line 0 starts
	period  float64 // video samples a line
	columns int     // pixels a line
	steps   int     // steps a line: columns times 1/2, 1, 2 or 4
}

// newGrid chooses the step nearest to a video sample: longer ones lose detail, shorter ones only time.
func newGrid(origin, period float64, columns int) grid {
	g := grid{origin: origin, period: period, columns: columns, steps: columns}
	for float64(g.steps) < period/1.4 {
		g.steps *= 2
	}
	for float64(g.steps) > period*1.4 && g.steps%2 == 0 {
		g.steps /= 2
	}
	return g
}

func (g grid) step() float64 { return g.period / float64(g.steps) } // video samples

// slanted is g with its lines longer by the share slant, line pivot staying where it is.
func (g grid) slanted(slant float64, pivot int) grid {
	g.origin -= float64(pivot) * g.period * slant
	g.period *= 1 + slant
	return g
}

// from is g without the lines before first.
func (g grid) from(first int) grid {
	g.origin = g.start(first)
	return g
}

func (g grid) start(line int) float64 { return g.origin + float64(line)*g.period }

// pixelsFromSteps averages or repeats the steps of a line into its pixels.
func pixelsFromSteps(dst, steps []float32) {
	if len(steps) < len(dst) {
		for i := range dst {
			dst[i] = steps[i*len(steps)/len(dst)]
		}
		return
	}
	n := len(steps) / len(dst)
	for i := range dst {
		sum := float32(0)
		for _, s := range steps[i*n:][:n] {
			sum += s
		}
		dst[i] = sum / float32(n)
	}
}

// kernelPhases is the number of sub-sample positions of a resampling kernel: the error of position is
// below 1/256 sample, 2 µs at VideoRate.
const kernelPhases = 128

// kernel is an interpolating low-pass filter for video: taps for each sub-sample position.
type kernel struct {
	taps  int
	table []float32 // kernelPhases+1 rows of taps
}

// newKernel makes a Hann-windowed sinc of the cutoff (Hz) and length (taps, even), averaged over width
// samples.
func newKernel(cutoff, width float64, taps int) *kernel {
	k := &kernel{taps: taps, table: make([]float32, (kernelPhases+1)*taps)}
	half := float64(taps) / 2
	at := func(t float64) float64 { // one sample of the windowed sinc
		if math.Abs(t) >= half {
			return 0
		}
		x := 2 * cutoff / VideoRate * t
		s := 1.0
		if x != 0 {
			s = math.Sin(math.Pi*x) / (math.Pi * x)
		}
		return s * (0.5 + 0.5*math.Cos(math.Pi*t/half))
	}
	parts := 8 // of the width: the average by the midpoint rule
	if width == 0 {
		parts = 1
	}
	for p := 0; p <= kernelPhases; p++ {
		row := k.table[p*taps:][:taps]
		sum := 0.0
		values := make([]float64, taps)
		for i := range row {
			t := float64(i) - half + 1 - float64(p)/kernelPhases
			for j := range parts {
				values[i] += at(t + width*((float64(j)+0.5)/float64(parts)-0.5))
			}
			sum += values[i]
		}
		for i := range row {
			row[i] = float32(values[i] / sum)
		}
	}
	return k
}

// apply sets dst[i] to the filtered z at position at + i·step, in samples of z, which must reach half the taps
// beyond.
func (k *kernel) apply(dst, z []complex64, at, step float64) {
	half := k.taps/2 - 1
	taps := k.taps
	for i := range dst {
		t := at + float64(i)*step
		n := int(t)
		p := int((t-float64(n))*kernelPhases + 0.5)
		row := k.table[p*taps:][:taps]
		w := z[n-half:][:len(row)]
		// Two sums side by side: one alone waits for each addition.
		var re0, im0, re1, im1 float32
		for j := 1; j < len(row); j += 2 {
			c, d := row[j-1], row[j]
			x, y := w[j-1], w[j]
			re0 += c * real(x)
			im0 += c * imag(x)
			re1 += d * real(y)
			im1 += d * imag(y)
		}
		dst[i] = complex(re0+re1, im0+im1)
	}
}

// turn multiplies dst[i] by exp(-j(phase + i·advance)), radians.
func turn(dst []complex64, phase, advance float64) {
	s, c := math.Sincos(-phase)
	r := complex(c, s)
	s, c = math.Sincos(-advance)
	d := complex(c, s)
	for i, z := range dst {
		dst[i] = z * complex64(r)
		r *= d
	}
}
