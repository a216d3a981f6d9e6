package grade

import "image"

const (
	strayPixels = 3 // fewer dark pixels are a speck, not a stroke
	strayReach  = 3 // pixels from the ink that was sent: what is nearer is a thick line, not another one
)

// Strays counts the strokes of a received chart that nobody sent: groups of at least three pixels darker than 128
// that touch each other, at an edge or a corner, none of them within three pixels of ink that was sent. The
// received picture is shifted by dx to the right and dy down. It is meant for charts in black and white.
func Strays(sent, got *image.Gray, dx, dy int) int {
	w, h := sent.Rect.Dx(), sent.Rect.Dy()
	near := nearInk(sent)
	dark := make([]bool, w*h)
	overlap(sent, got, dx, dy, func(x, y int, _, b []uint8) {
		for i, v := range b {
			dark[y*w+x+i] = v < 128
		}
	})
	strays := 0
	var group []int
	for i, d := range dark {
		if !d {
			continue
		}
		dark[i] = false
		group = append(group[:0], i)
		touches := false
		for k := 0; k < len(group); k++ {
			x, y := group[k]%w, group[k]/w
			touches = touches || near[group[k]]
			for v := max(y-1, 0); v <= min(y+1, h-1); v++ {
				for u := max(x-1, 0); u <= min(x+1, w-1); u++ {
					if dark[v*w+u] {
						dark[v*w+u] = false
						group = append(group, v*w+u)
					}
				}
			}
		}
		if !touches && len(group) >= strayPixels {
			strays++
		}
	}
	return strays
}

// nearInk marks the pixels within strayReach of ink, row by row.
func nearInk(m *image.Gray) []bool {
	w, h := m.Rect.Dx(), m.Rect.Dy()
	near := make([]bool, w*h)
	for y := range h {
		for x := range w {
			if m.Pix[y*m.Stride+x] >= 128 {
				continue
			}
			for v := max(y-strayReach, 0); v <= min(y+strayReach, h-1); v++ {
				for u := max(x-strayReach, 0); u <= min(x+strayReach, w-1); u++ {
					near[v*w+u] = true
				}
			}
		}
	}
	return near
}
