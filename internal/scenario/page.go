package scenario

import (
	"fmt"
	"image"
	"math/rand/v2"
	"strings"

	"golang.org/x/image/font"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"
)

// Slope says which fonts of its family a page is set in.
type Slope int

const (
	Upright Slope = iota
	Italic
	Mixed // line by line, and now and then a word, one or the other
)

func (s Slope) String() string { return [...]string{"upright", "italic", "mixed"}[s] }

// Page is a page of invented marine weather text as an office prints and scans it: anti-aliased, so with greys
// at the edges of its letters.
type Page struct {
	Typeface int // index in Typefaces
	Slope    Slope
	Frame    bool // around the text, where charts have it
	Rule     bool // a vertical one between margin and text
	Seed     uint64
}

// Draw sets the page. What the fields leave open follows from the seed: heights of 18 to 40 pixels (the em), a
// margin of 3 to 10 % of the width, headings, paragraphs, all of it in capitals or not.
func (p Page) Draw(width, height int) *image.Gray {
	c := newCanvas(width, height)
	rng := rand.New(rand.NewPCG(p.Seed, 0x70616765))
	in := image.Rect(width*2/100, height/50, width*98/100, height*49/50)
	if p.Frame {
		in = c.frame(2)
	}
	in.Min.X = max(in.Min.X+8, width*(30+rng.IntN(71))/1000)
	in.Max.X -= 8 + rng.IntN(width/10+1)
	if p.Rule {
		x := in.Min.X - 4
		c.fillRect(image.Rect(x, in.Min.Y, x+2+rng.IntN(2), in.Max.Y), black)
		in.Min.X += 12
	}
	s := newSetter(p, rng)
	for y := in.Min.Y; s.set(c, in, &y); {
	}
	return c.Gray
}

// setter sets line after line of a page.
type setter struct {
	page     Page
	rng      *rand.Rand
	upright  *opentype.Font
	italic   *opentype.Font
	em       int
	capitals bool
	words    []string // that are still to come of the paragraph
}

func newSetter(p Page, rng *rand.Rand) *setter {
	t := typefaces[p.Typeface]
	return &setter{page: p, rng: rng, upright: parse(t.upright), italic: parse(t.italic), em: 18 + rng.IntN(23), capitals: rng.IntN(3) == 0}
}

// set sets a line below y; false if there is no room for it.
func (s *setter) set(c canvas, in image.Rectangle, y *int) bool {
	em := s.em
	if len(s.words) == 0 { // a new paragraph, sometimes in another size, sometimes with a heading
		if s.rng.IntN(3) == 0 {
			s.em = 18 + s.rng.IntN(23)
		}
		*y += s.em * s.rng.IntN(4) / 3
		em = s.em
		if s.rng.IntN(4) == 0 {
			em = min(s.em*5/4, 40)
			s.words = strings.Fields(strings.ToUpper(areas[s.rng.IntN(len(areas))]) + fmt.Sprintf(" AREA %d", 1+s.rng.IntN(9)))
		} else {
			for range 1 + s.rng.IntN(4) {
				s.words = append(s.words, strings.Fields(sentence(s.rng))...)
			}
		}
	}
	*y += em
	if *y+em/3 > in.Max.Y {
		return false
	}
	upright, italic := smooth(s.upright, em), smooth(s.italic, em)
	line := s.page.Slope == Italic || s.page.Slope == Mixed && s.rng.IntN(2) == 0
	dot := fixed.P(in.Min.X, *y)
	for first := true; len(s.words) > 0; first = false {
		slanted := line
		if s.page.Slope == Mixed && s.rng.IntN(8) == 0 {
			slanted = !line
		}
		f := upright
		if slanted {
			f = italic
		}
		word := s.words[0]
		if s.capitals {
			word = strings.ToUpper(word)
		}
		if !first {
			word = " " + word
		}
		if (dot.X + font.MeasureString(f, word)).Ceil() > in.Max.X {
			if first { // not even one word fits
				return false
			}
			break
		}
		dot = c.smoothText(f, dot, word)
		s.words = s.words[1:]
	}
	*y += em * (3 + s.rng.IntN(2)) / 10
	return true
}

// smooth is a face that keeps the outlines' shape: unhinted.
func smooth(f *opentype.Font, em int) font.Face {
	fc, err := opentype.NewFace(f, &opentype.FaceOptions{Size: float64(em), DPI: 72})
	if err != nil {
		panic("scenario: compiled-in font: " + err.Error())
	}
	return fc
}

// smoothText draws s in black from dot on, each pixel as grey as the letters cover it, and returns where it ends.
func (c canvas) smoothText(f font.Face, dot fixed.Point26_6, s string) fixed.Point26_6 {
	d := font.Drawer{Dst: c.Gray.SubImage(c.clip).(*image.Gray), Src: image.Black, Face: f, Dot: dot}
	d.DrawString(s)
	return d.Dot
}
