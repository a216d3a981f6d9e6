package draw

import (
	"image"
	"math"
	"math/cmplx"
)

// Greys are told from two levels by pieces of the video in which the frequency is constant: in a picture with
// greys many of them lie between the levels, in a chart none do, however dense its strokes, because a stroke
// breaks the phase.
const (
	pieceLength = 16   // steps: the frequency is known to 40 Hz at -3 dB SNR (Cramér-Rao: 6/(snr·N³))
	pieceShare  = 0.85 // of the signal's power that one frequency must hold

	// Shares of the constant pieces that are grey. Simulated charts have none at 10 dB SNR, 0.01 at 6 dB, 0.03
	// at 3 dB and 0.15 at -5 dB; a picture of which a quarter is grey has 0.05, 0.06 and 0.07 at the first
	// three, satellite images 0.4 and more at all. In between a picture is looked at part by part.
	chartShareLow  = 0.025 // from 8 dB on
	chartShareHigh = 0.052 // at 3 dB
	pictureShare   = 0.35
	noisyShare     = 0.22 // decides alone where noise does not let parts be told
	partsDB        = 3    // SNR from which on they can be told
)

// kind says what a picture consists of.
type kind int

const (
	twoLevels kind = iota
	soft           // two levels, but edges that hard ones would spoil
	greys
	mixed
)

// kindOf judges the picture by some 64 of its rows.
func kindOf(s *lineSource, rows int) kind {
	p := newPieces(s)
	var grey, level, snr, looked float64
	every := max(rows/64, 1)
	for row := every / 2; row < rows; row += every {
		p.vote(row, func(_ int, isGrey bool) {
			if isGrey {
				grey++
			} else {
				level++
			}
		})
		snr += snrDB(s.signal, s.noise)
		looked++
	}
	share := grey / (grey + level + 1)
	snr /= looked
	chartShare := chartShareLow + (chartShareHigh-chartShareLow)*min(max((8-snr)/(8-partsDB), 0), 1)
	switch {
	case snr < partsDB:
		if share > noisyShare {
			return greys
		}
		return twoLevels
	case share < chartShare && snr > softDB && isSoft(s, rows):
		return soft
	case share < chartShare:
		return twoLevels
	case share > pictureShare:
		return greys
	}
	return mixed
}

// pieces finds the constant pieces of lines.
type pieces struct {
	source *lineSource
	grey   float64                    // below this size a level is no black or white
	turns  [33][pieceLength]complex64 // trial frequencies over ±trialReach deviations
}

const trialReach = 1.6

func (p *pieces) trial(k int) float64 { return (float64(k)/float64(len(p.turns)-1)*2 - 1) * trialReach }

func newPieces(s *lineSource) *pieces {
	p := &pieces{source: s, grey: 0.65}
	for k := range p.turns {
		for n := range p.turns[k] {
			p.turns[k][n] = complex64(cmplx.Rect(1, -p.trial(k)*s.advance()*float64(n)))
		}
	}
	return p
}

// vote loads a row and calls f for each constant piece with its first step and whether it is grey.
func (p *pieces) vote(row int, f func(step int, isGrey bool)) {
	s := p.source
	s.load(row)
	if snrDB(s.signal, s.noise) < -5 {
		return
	}
	y := s.y[:s.grid.steps]
	s.fill(y, s.steps, row, 0.5)
	noise := s.noise * s.gain
	for i := 0; i+pieceLength <= len(y); i += pieceLength {
		piece := (*[pieceLength]complex64)(y[i:])
		var power, best float32
		var energy [len(p.turns)]float64
		for _, c := range piece {
			power += real(c)*real(c) + imag(c)*imag(c)
		}
		at := 0
		for k := range p.turns {
			var sum complex64
			for n, c := range piece {
				sum += c * p.turns[k][n]
			}
			e := real(sum)*real(sum) + imag(sum)*imag(sum)
			if energy[k] = float64(e); e > best {
				best, at = e, k
			}
		}
		// Expected of a constant frequency: N²·signal + N·noise, of N·(signal + noise) in all.
		signal := power/pieceLength - noise
		if signal < noise*0.1 || best < pieceShare*(pieceLength*pieceLength*signal+pieceLength*noise) {
			continue
		}
		const spacing = 2 * trialReach / float64(len(p.turns)-1)
		switch level := math.Abs(p.trial(at) + spacing*peakOffset(energy[:], at)); {
		case level < p.grey:
			f(i, true)
		case level < 1.3:
			f(i, false)
		}
	}
}

// A tile is a part of a picture that is drawn in one way.
const (
	tileRows    = 32
	tileColumns = 64
	tileEvery   = 2    // rows between those that are looked at
	tileShare   = 0.15 // of its constant pieces are grey in a tile that is drawn with greys
)

// tiles is a balance for each tile of a picture: what speaks for the other drawing of two, less what speaks against.
type tiles struct {
	across, down int
	balance      []float64
}

func newTiles(r image.Rectangle) *tiles {
	t := &tiles{across: (r.Dx() + tileColumns - 1) / tileColumns, down: (r.Dy() + tileRows - 1) / tileRows}
	t.balance = make([]float64, t.across*t.down)
	return t
}

func (t *tiles) add(x, y int, v float64) { t.balance[y/tileRows*t.across+x/tileColumns] += v }

// copy copies the parts of other for which the balance speaks into m. That of a pixel is between those of the nearest
// tiles' middles, by linear interpolation.
func (t *tiles) copy(m, other *image.Gray) {
	for y := range m.Rect.Dy() {
		fy := max(float64(y)/tileRows-0.5, 0)
		top := min(int(fy), t.down-1)
		low := min(top+1, t.down-1)
		fy -= float64(top)
		for x := range m.Rect.Dx() {
			fx := max(float64(x)/tileColumns-0.5, 0)
			left := min(int(fx), t.across-1)
			right := min(left+1, t.across-1)
			fx -= float64(left)
			b := (1-fy)*((1-fx)*t.balance[top*t.across+left]+fx*t.balance[top*t.across+right]) +
				fy*((1-fx)*t.balance[low*t.across+left]+fx*t.balance[low*t.across+right])
			if b > 0 {
				m.Pix[y*m.Stride+x] = other.Pix[y*other.Stride+x]
			}
		}
	}
}

// mixGreys copies the parts of plain that have greys into m, which was drawn as if it had none.
func mixGreys(m, plain *image.Gray, s *lineSource) {
	w, h := m.Rect.Dx(), m.Rect.Dy()
	t := newTiles(m.Rect) // grey votes less a share of the others
	p := newPieces(s)
	for row := 0; row < h; row += tileEvery {
		p.grey = 0.65
		if row > 0 && snrDB(s.signal, s.noise) > 8 { // of the row before: the nearer to black, the less noise
			p.grey = 0.88
		}
		p.vote(row, func(step int, isGrey bool) {
			v := -tileShare
			if isGrey {
				v = 1
			}
			t.add(min((step+pieceLength/2)*w/s.grid.steps, w-1), row, v)
		})
	}
	t.copy(m, plain)
}
