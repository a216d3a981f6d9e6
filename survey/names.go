package survey

import (
	"cmp"
	"fmt"
	"image"
	"slices"
)

// name is what is written beside a frame.
type name struct {
	box  image.Rectangle
	text string
	kind Kind
}

const (
	nameHigh   = 18 // pixels, of a line of text
	mostLegend = 60
)

// layOut finds places for the names of findings. What has no room for its name has a number, if there is room for that,
// and a line in a legend.
func (d *drawing) layOut() (names []name, legend []string) {
	frames := make([]image.Rectangle, len(d.marks))
	for i, f := range d.marks {
		frames[i] = d.rectangle(f)
	}
	var rest []int
	for i, f := range d.marks {
		if box, ok := d.room(f.Title(), i, frames, names); ok {
			names = append(names, name{box, f.Title(), f.Kind})
		} else {
			rest = append(rest, i)
		}
	}
	slices.SortStableFunc(rest, func(a, b int) int { return cmp.Compare(d.marks[a].Begin, d.marks[b].Begin) })
	for k, i := range rest {
		if k == mostLegend {
			legend = append(legend, fmt.Sprintf("and %d more", len(rest)-k))
			break
		}
		f := d.marks[i]
		number := fmt.Sprint(k + 1)
		box, ok := d.room(number, i, frames, names)
		if !ok { // rather upon frames than nowhere
			box, ok = d.room(number, i, nil, names)
		}
		if ok {
			names = append(names, name{box, number, f.Kind})
		}
		hz := fmt.Sprintf("%.0f Hz", d.axes.Hz(f.Hz))
		if d.axes.Hz(f.Hz) >= 20000 {
			hz = fmt.Sprintf("%.2f kHz", d.axes.Hz(f.Hz)/1000)
		}
		legend = append(legend, number+"  "+hz+"  "+f.Title())
	}
	return names, legend
}

// room is a place for a text at the frame of finding i: above, below, beside or in it; but not upon another name nor
// another frame.
func (d *drawing) room(text string, i int, frames []image.Rectangle, names []name) (box image.Rectangle, ok bool) {
	own := d.rectangle(d.marks[i])
	w := d.width(text) + 8
	taken := func(box image.Rectangle) bool {
		if !box.In(d.in) || slices.ContainsFunc(names, func(n name) bool { return n.box.Overlaps(box) }) {
			return true
		}
		for k, r := range frames {
			within := r.Dy() > 3*nameHigh && box.In(r.Inset(2)) // such as an area
			if k != i && r.Overlaps(box) && !within {
				return true
			}
		}
		return false
	}
	inside := d.in.Max.X - w
	at := func(x int) int { return min(max(x, d.in.Min.X), max(inside, d.in.Min.X)) }
	left, middle, right := at(own.Min.X), at((own.Min.X+own.Max.X-w)/2), at(own.Max.X-w)
	places := []image.Point{}
	for _, y := range []int{own.Min.Y - nameHigh, own.Max.Y} {
		places = append(places, image.Pt(left, y), image.Pt(right, y), image.Pt(middle, y))
	}
	y := min(max((own.Min.Y+own.Max.Y-nameHigh)/2, d.in.Min.Y), d.in.Max.Y-nameHigh)
	places = append(places, image.Pt(own.Max.X+1, y), image.Pt(own.Min.X-w-1, y))
	if own.Dy() >= 2*nameHigh {
		places = append(places, image.Pt(left, own.Min.Y+1), image.Pt(right, own.Max.Y-nameHigh-1))
	}
	for _, p := range places {
		if box = image.Rect(p.X, p.Y, p.X+w, p.Y+nameHigh); !taken(box) {
			return box, true
		}
	}
	return box, false
}

// columns is in how many columns, and lines each, a legend is written.
func (d *drawing) columns(legend []string) (columns, lines int) {
	wide := 1
	for _, text := range legend {
		wide = max(wide, d.width(text)+24)
	}
	columns = max(1, d.in.Dx()/wide)
	return columns, (len(legend) + columns - 1) / columns
}
