package draw

import (
	"context"
	"errors"
	"image"
	"math"

	"gonum.org/v1/gonum/dsp/fourier"
)

// Match is how another copy of a chart lies on the first.
type Match struct {
	Drawing  Drawing           // of the other one: its rows and columns are those of the first
	Likeness float64           // correlation of what both show, as it would be without noise
	Differs  []image.Rectangle // where they show something else, noise apart

	shift, slant float64 // pixels by which its lines begin later than it said, in the first row, and more in the last
}

// ErrOther says that two charts are not of the same picture, or too noisy to tell.
var ErrOther = errors.New("draw: the charts do not show the same")

// LeastLikeness is that from which on two charts are of the same picture. Without noise, charts of one office that have nothing but
// their layout in common have up to 0.62, and those on the same map or form with other content up to 0.80; copies of one have 0.9
// and more (STUDIES.md of internal/grade).
const LeastLikeness = 0.85

const (
	// The place of a copy is first looked for in pictures whose pixels are coarse ones by coarse rows.
	coarseColumns, coarseRows = 8, 4
	// matchBands of rows are each laid upon the other chart, within matchReach pixels; so far off the line start and the slant of a
	// chart may be that were measured or ordered.
	matchBands, matchReach = 24, 8
	// finePixel is by how many pixels shifts that are tried differ, and half of the slants.
	finePixel = 0.05
)

// Matcher lays copies upon a chart.
type Matcher struct {
	drawing Drawing
	picture *image.Gray
}

// NewMatcher draws the chart that others are laid upon. The error is that of ctx.
func NewMatcher(ctx context.Context, v *Video, d Drawing) (m *Matcher, err error) {
	defer gaveUp(ctx, &err)
	return &Matcher{d, plainPicture(ctx, v, d)}, nil
}

// Match lays another chart upon the first: it may begin earlier or later, and its lines may begin elsewhere and lean. Polarity,
// line rate and index of cooperation must be those of the first; if not, or if it shows something else, the error is ErrOther.
// Else it is that of ctx.
func (f *Matcher) Match(ctx context.Context, v *Video, other Drawing) (m Match, err error) {
	const rateSlack = 0.01 // clocks are not as wrong as that
	d := f.drawing
	if min(d.Columns, d.Rows, other.Rows) < cellSize || other.Columns != d.Columns || math.Abs(other.Period/d.Period-1) > rateSlack ||
		newGrid(0, other.Period, other.Columns).steps != newGrid(0, d.Period, d.Columns).steps {
		return m, ErrOther
	}
	defer gaveUp(ctx, &err)
	picture := plainPicture(ctx, v, other)
	dx, about := coarseShift(f.picture, picture)
	var shift, slant float64
	dy, most := about, math.Inf(-1)
	for y := about - coarseRows; y <= about+coarseRows; y++ {
		bands := correlateBands(f.picture, shifted(picture, f.picture.Rect, y, func(int) int { return dx }))
		if s, l, sum := bands.best(); sum > most {
			dy, shift, slant, most = y, s, l, sum
		}
	}
	rows := float64(d.Rows)
	laid := shifted(picture, f.picture.Rect, dy, func(row int) int { return dx + int(math.Round(shift+slant*float64(row)/rows)) })
	a, b := newCells(f.picture), newCells(laid)
	pixel := other.Period / float64(other.Columns)
	other.Origin += float64(dy)*other.Period + (float64(dx)+shift)*pixel
	other.Period += slant / rows * pixel
	other.Rows = d.Rows
	m = Match{Drawing: other, Likeness: a.likeness(b), Differs: a.differ(b), shift: float64(dx) + shift, slant: slant}
	if m.Likeness < LeastLikeness {
		return m, ErrOther
	}
	return m, nil
}

// shifted is a picture of the size of r whose pixels are those dx columns to the right, around the edges, and dy rows down in m; what
// is not in m is white.
func shifted(m *image.Gray, r image.Rectangle, dy int, dx func(row int) int) *image.Gray {
	to := image.NewGray(r)
	w := m.Rect.Dx()
	for row := range r.Dy() {
		dst := to.Pix[row*to.Stride:][:w]
		if row+dy < 0 || row+dy >= m.Rect.Dy() {
			for i := range dst {
				dst[i] = 255
			}
			continue
		}
		src := m.Pix[(row+dy)*m.Stride:][:w]
		k := ((dx(row) % w) + w) % w
		copy(dst, src[k:])
		copy(dst[w-k:], src[:k])
	}
	return to
}

// plainPicture is a chart without restoration; but if there is a second path, with both joined, as strokes are where the stronger
// one of the moment has them.
func plainPicture(ctx context.Context, v *Video, d Drawing) *image.Gray {
	m := image.NewGray(image.Rect(0, 0, d.Columns, d.Rows))
	s := d.source(v)
	s.done = ctx.Done()
	if d.EchoDelay != 0 {
		restore(m, s.grid, make([]rowLevel, d.Rows), newLineReader(s, d.Rows, d.EchoDelay).read)
	} else {
		drawGreys(m, s, make([]rowLevel, d.Rows), true)
	}
	return m
}

// coarseShift is by how many columns and rows the other picture is shifted to the right and down, by the greatest correlation of
// both, each closed to a ring in both directions.
func coarseShift(first, other *image.Gray) (dx, dy int) {
	wide := first.Rect.Dx() / coarseColumns
	high := 2 * max(first.Rect.Dy(), other.Rect.Dy()) / coarseRows // room to shift
	a, b := coarsePlane(first, wide, high), coarsePlane(other, wide, high)
	f := newPlaneFFT(wide, high)
	f.forward(a)
	f.forward(b)
	for i := range a {
		a[i] = complex(real(b[i]), imag(b[i])) * complex(real(a[i]), -imag(a[i]))
	}
	f.backward(a)
	best := 0
	for i, v := range a {
		if real(v) > real(a[best]) {
			best = i
		}
	}
	x, y := best%wide, best/wide
	if y > high/2 {
		y -= high
	}
	if x > wide/2 {
		x -= wide
	}
	return x * coarseColumns, y * coarseRows
}

// coarsePlane has the means of coarse pixels, less that of all.
func coarsePlane(m *image.Gray, wide, high int) []complex128 {
	z := make([]complex128, wide*high)
	rows := m.Rect.Dy() / coarseRows
	mean := 0.0
	for y := range rows {
		for x := range wide {
			sum := 0
			for k := range coarseRows {
				for _, v := range m.Pix[(y*coarseRows+k)*m.Stride+x*coarseColumns:][:coarseColumns] {
					sum += int(v)
				}
			}
			z[y*wide+x] = complex(float64(sum), 0)
			mean += float64(sum) / float64(max(1, rows*wide))
		}
	}
	for i := range z[:rows*wide] {
		z[i] -= complex(mean, 0)
	}
	return z
}

// planeFFT transforms planes by rows and then by columns.
type planeFFT struct {
	wide, high     int
	across, down   *fourier.CmplxFFT
	column, result []complex128
}

func newPlaneFFT(wide, high int) *planeFFT {
	return &planeFFT{wide, high, fourier.NewCmplxFFT(wide), fourier.NewCmplxFFT(high), make([]complex128, high), make([]complex128, max(wide, high))}
}

func (f *planeFFT) forward(z []complex128) {
	f.each(z, f.across.Coefficients, f.down.Coefficients)
}

func (f *planeFFT) backward(z []complex128) {
	f.each(z, f.across.Sequence, f.down.Sequence)
}

func (f *planeFFT) each(z []complex128, across, down func(dst, src []complex128) []complex128) {
	for y := range f.high {
		row := z[y*f.wide:][:f.wide]
		copy(row, across(f.result[:f.wide], row))
	}
	for x := range f.wide {
		for y := range f.high {
			f.column[y] = z[y*f.wide+x]
		}
		for y, v := range down(f.result[:f.high], f.column) {
			z[y*f.wide+x] = v
		}
	}
}

// bandLags are the correlations of bands of rows with those of another chart, by how many pixels it is shifted to the right.
type bandLags [matchBands][2*matchReach + 1]float64

// correlateBands lays the rows of two pictures of the same size upon each other.
func correlateBands(first, other *image.Gray) *bandLags {
	var b bandLags
	w, h := first.Rect.Dx(), first.Rect.Dy()
	x, y := make([]float64, w), make([]float64, w+2*matchReach)
	for row := range h {
		band := &b[row*matchBands/h]
		levelled(x, first, row, 0)
		levelled(y, other, row, -matchReach)
		for lag := range band {
			sum := 0.0
			for i, v := range x {
				sum += v * y[i+lag]
			}
			band[lag] += sum
		}
	}
	return &b
}

// levelled sets dst to the pixels of a row from a column on, around the edges, less the row's mean.
func levelled(dst []float64, m *image.Gray, row, from int) {
	w := m.Rect.Dx()
	line := m.Pix[row*m.Stride:][:w]
	mean := 0.0
	for _, v := range line {
		mean += float64(v) / float64(w)
	}
	for i := range dst {
		dst[i] = float64(line[(i+from+w)%w]) - mean
	}
}

// best is the shift in pixels in the first row, and by how many pixels more it is in the last, with which all bands agree most.
func (b *bandLags) best() (shift, slant, most float64) {
	const reach = matchReach - 2 // the interpolation needs two more
	most = math.Inf(-1)
	for lean := -float64(reach); lean <= reach; lean += 2 * finePixel {
		for s := -float64(reach); s <= reach; s += finePixel {
			if math.Abs(s+lean) > reach {
				continue
			}
			sum := 0.0
			for k := range b {
				sum += cubic(&b[k], matchReach+s+lean*(float64(k)+0.5)/matchBands)
			}
			if sum > most {
				most, shift, slant = sum, s, lean
			}
		}
	}
	return shift, slant, most
}

// cubic is a value between those of x, by the cubic through four of them (R. Keys, IEEE Trans. Acoustics, Speech, and Signal
// Processing 29, 1981, p. 1153).
func cubic(x *[2*matchReach + 1]float64, at float64) float64 {
	i := int(at)
	t := at - float64(i)
	a, b, c, d := x[i-1], x[i], x[i+1], x[min(i+2, len(x)-1)]
	return b + t/2*(c-a+t*(2*a-5*b+4*c-d+t*(3*(b-c)+d-a)))
}
