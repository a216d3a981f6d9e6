package filing

import (
	"ionoscribe/fax"
	"ionoscribe/internal/chartfile"
)

// Arrival keeps the video of the chart that a decoder is receiving on disk, so that it is not lost with the program.
type Arrival struct {
	keeper *Charts
	origin chartfile.Origin
	name   string // of its file
	begin  int64  // sample index of the chart, by which it is known
	file   *chartfile.Arriving
	behind []*chartfile.Arriving // of charts that do not come in any more, but may be complete: they are being drawn
}

// NewArrival prepares the file of a name for what charts will save.
func NewArrival(c *Charts, name string, o chartfile.Origin) *Arrival {
	return &Arrival{keeper: c, name: name, origin: o}
}

// Follow takes what the decoder tells of the chart that it is receiving; v is nil if there is none. While earlier ones are being
// drawn their files stay.
func (r *Arrival) Follow(a fax.Arriving, v *fax.Video, drawing bool) {
	if r.file != nil && (v == nil || a.Base+a.From != r.begin) {
		r.behind = append(r.behind, r.file)
		r.file = nil
	}
	if !drawing && len(r.behind) > 0 {
		for _, f := range r.behind { // they were none
			f.Remove()
		}
		r.behind = nil
		r.keeper.trouble.works(ofArriving)
	}
	if v == nil {
		return
	}
	var err error
	if r.file == nil {
		r.begin = a.Base + a.From
		if r.file, err = chartfile.BeginArriving(r.keeper.folder, r.name, r.origin, a, v); err != nil {
			r.file = nil
		}
	}
	if r.file != nil {
		err = r.file.Add(v)
	}
	if err != nil {
		r.keeper.trouble.failed(ofArriving, err)
	} else {
		r.keeper.trouble.works(ofArriving)
	}
}

// Take hands over the file of a chart that is complete.
func (r *Arrival) Take() *chartfile.Arriving {
	if len(r.behind) > 0 {
		f := r.behind[0]
		r.behind = r.behind[1:]
		return f
	}
	f := r.file
	r.file = nil
	return f
}

// Close leaves what is coming in to the next start.
func (r *Arrival) Close() {
	if r.file != nil {
		r.behind = append(r.behind, r.file)
	}
	for _, f := range r.behind {
		f.Close()
	}
	r.file, r.behind = nil, nil
}
