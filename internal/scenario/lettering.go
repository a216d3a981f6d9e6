package scenario

import (
	"fmt"
	"image"
	"math/rand/v2"
	"strconv"
	"strings"

	"golang.org/x/image/font/opentype"
)

// Lettering draws a page of invented marine weather text in the Go fonts and returns it with its lines of text
// from top to bottom. Each line has one height of 18 to 40 pixels, measured as the em (from the top of the
// ascenders to the bottom of the descenders, about); capitals are 0.72 of that. The text is left-aligned with
// 20 pixels of white between frame and letters.
func Lettering(width, height int, seed int64) (*image.Gray, []string) {
	const gap, smallest, largest = 20, 18, 40
	c := newCanvas(width, height)
	in := c.frame(2).Inset(gap)
	rng := rand.New(rand.NewPCG(uint64(seed), 0x1e))
	fonts := []*opentype.Font{regular, bold, regular, mono}
	var words []string
	var lines []string
	sizes := rng.Perm(largest - smallest + 1)
	for y, k := in.Min.Y, 0; ; k++ {
		size := smallest + sizes[k%len(sizes)]
		y += size
		if y+size/3 > in.Max.Y {
			return c.Gray, lines
		}
		f := face(fonts[rng.IntN(len(fonts))], float64(size))
		line := ""
		for {
			if len(words) == 0 {
				words = strings.Fields(sentence(rng))
			}
			longer := strings.TrimSpace(line + " " + words[0])
			if textWidth(f, longer) > float64(in.Dx()) {
				break
			}
			line, words = longer, words[1:]
		}
		if line == "" {
			return c.Gray, lines // not even a word fits
		}
		c.text(f, float64(in.Min.X), float64(y), line, black)
		lines = append(lines, line)
		y += size * 6 / 10
	}
}

var (
	areas      = strings.Fields("Ostrel Vanmoor Brathen Ellmarsh Corvane Dunmarrow Halvren Isbrook Pellwick Thornay")
	winds      = strings.Fields("north northeast east southeast south southwest west northwest")
	turns      = strings.Fields("veering backing increasing decreasing becoming")
	seas       = strings.Fields("smooth slight moderate rough")
	skies      = []string{"rain", "showers", "fog patches", "drizzle", "snow showers", "thundery rain", "fair", "mainly fair"}
	visibility = strings.Fields("good moderate poor")
)

// sentence makes up one sentence of a shipping bulletin.
func sentence(r *rand.Rand) string {
	pick := func(s []string) string { return s[r.IntN(len(s))] }
	// The Go fonts slash their zero, which readers of print take for other signs: use the digits 1 to 9 alone.
	number := func(lo, hi int) int {
		for {
			if n := lo + r.IntN(hi-lo+1); !strings.Contains(strconv.Itoa(n), "0") {
				return n
			}
		}
	}
	two := r.Perm(len(areas))
	here, there := areas[two[0]], areas[two[1]]
	switch r.IntN(7) {
	case 0:
		return fmt.Sprintf("Low of %d hPa over the %s Sea, moving %s at %d knots.", number(961, 999), here, pick(winds), number(5, 38))
	case 1:
		return fmt.Sprintf("Anticyclone near Cape %s, slow moving, then declining within %d hours.", here, number(12, 36))
	case 2:
		return fmt.Sprintf("Gale warning for %s and %s, issued at %d UTC.", here, there, 100*number(11, 19)+number(11, 59))
	case 3:
		return fmt.Sprintf("Cape %s: pressure %d, falling slowly, wind %d knots, visibility %d miles.", here,
			number(961, 999), number(2, 49), number(2, 29))
	case 4:
		return fmt.Sprintf("Outlook: %sly winds, waves %d to %d metres, swell %s.", pick(winds)+"er", number(1, 3), number(4, 9), pick(winds))
	case 5:
		return fmt.Sprintf("Sea surface temperature near %s Island %d degrees.", here, number(4, 19))
	}
	return fmt.Sprintf("%s: %s %d, %s %d later, sea %s, %s, visibility %s.", here, pick(winds), number(2, 7),
		pick(turns), number(3, 8), pick(seas), pick(skies), pick(visibility))
}
