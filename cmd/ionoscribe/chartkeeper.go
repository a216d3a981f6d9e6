package main

import (
	"errors"
	"os"
	"path/filepath"
	"time"

	"ionoscribe/fax"
	"ionoscribe/internal/chartfile"
)

// chartKeeper saves charts into a folder. What that does not take, because the disk is full or the folder gone, is kept
// and tried again.
type chartKeeper struct {
	folder  string
	noVideo bool
	trouble *trouble
	now     func() time.Time
	kept    []keptChart
	tried   time.Time
	lost    []error // what was given up
}

// keptChart is a chart that is not saved yet.
type keptChart struct {
	chart    *chartfile.Chart
	arriving *chartfile.Arriving // or nil
	picture  string              // its path if it is saved, but its video is not
	saved    func(picture, video string)
	err      error
}

const (
	// mostChartBytes bounds the charts that are kept: some ten hours of them.
	mostChartBytes = 256 << 20
	// tryEvery is how often it is tried to save them, by the clock: a picture takes a tenth of a second.
	tryEvery = 5 * time.Second
)

// What there may be trouble with.
const (
	ofCharts   = "charts"
	ofArriving = "video of a chart that is coming in"
	ofPreview  = "preview"
)

func newChartKeeper(folder string, noVideo bool, t *trouble) *chartKeeper {
	return &chartKeeper{folder: folder, noVideo: noVideo, trouble: t, now: time.Now}
}

// save saves a chart, now or later, and then calls saved.
func (k *chartKeeper) save(c *chartfile.Chart, arriving *chartfile.Arriving, saved func(picture, video string)) {
	if k.noVideo {
		c.Video = nil
	}
	chart := keptChart{chart: c, arriving: arriving, saved: saved}
	if k.try(&chart) {
		return
	}
	k.tried = k.now()
	k.kept = append(k.kept, chart)
	for size := k.size(); size > mostChartBytes && len(k.kept) > 1; size = k.size() {
		k.trouble.gaveUp()
		k.giveUp()
	}
}

// size is that of the kept charts in bytes.
func (k *chartKeeper) size() (n int64) {
	for _, c := range k.kept {
		n += int64(len(c.chart.Image.Pix))
		if v := c.chart.Video; v != nil {
			n += 2 * (v.End() - v.First())
		}
	}
	return n
}

// giveUp lets go of the oldest chart; what is on disk of it stays there.
func (k *chartKeeper) giveUp() {
	c := k.kept[0]
	k.kept = k.kept[:copy(k.kept, k.kept[1:])]
	if c.picture != "" {
		c.saved(c.picture, "")
	}
	if c.arriving != nil {
		c.arriving.Close()
	}
	k.lost = append(k.lost, c.err)
}

// try tries to save a chart.
func (k *chartKeeper) try(c *keptChart) bool {
	video := ""
	if c.picture != "" {
		if c.err = chartfile.SaveVideo(c.picture, c.chart); c.err == nil {
			video = chartfile.VideoPath(c.picture)
			if c.arriving != nil {
				c.arriving.Remove()
			}
		}
	} else {
		c.picture, video, c.err = chartfile.Save(k.folder, c.chart, c.arriving)
	}
	if c.err != nil {
		k.trouble.failed(ofCharts, c.err)
		return false
	}
	k.trouble.works(ofCharts)
	k.trouble.works(ofArriving) // which it has taken the place of
	k.trouble.works(ofPreview)
	c.saved(c.picture, video)
	return true
}

// retry tries again, if it is time.
func (k *chartKeeper) retry() {
	if len(k.kept) > 0 && k.now().Sub(k.tried) >= tryEvery {
		k.retryNow()
	}
}

func (k *chartKeeper) retryNow() {
	for len(k.kept) > 0 && k.try(&k.kept[0]) {
		k.kept = k.kept[:copy(k.kept, k.kept[1:])]
	}
	k.tried = k.now()
}

// close tries for the last time; the error tells what is not saved.
func (k *chartKeeper) close() error {
	k.retryNow()
	for len(k.kept) > 0 {
		k.giveUp()
	}
	return errors.Join(k.lost...)
}

// adopt saves the charts that were coming in when an earlier run was killed, but for those in recordings that are read
// again.
func (k *chartKeeper) adopt(sources []string, saved func(chartfile.Adopted)) error {
	var recordings []string
	for _, path := range sources {
		if r := recordingPath(path); r != "" {
			recordings = append(recordings, r)
		}
	}
	return errors.Join(chartfile.Adopt(k.folder, recordings, saved)...)
}

// recordingPath is the absolute path of a source that is a file and can be read again, or "".
func recordingPath(source string) string {
	fi, err := os.Stat(source)
	if err != nil || !fi.Mode().IsRegular() {
		return ""
	}
	path, err := filepath.Abs(source)
	if err != nil {
		return ""
	}
	return path
}

// arrival keeps the video of the chart that a decoder is receiving on disk, so that it is not lost with the program.
type arrival struct {
	keeper *chartKeeper
	origin chartfile.Origin
	name   string // of its file
	begin  int64  // sample index of the chart, by which it is known
	file   *chartfile.Arriving
}

// follow takes what the decoder tells of the chart that it is receiving; v is nil if there is none.
func (r *arrival) follow(a fax.Arriving, v *fax.Video) {
	if r.file != nil && (v == nil || a.Base+a.From != r.begin) {
		r.file.Remove() // it was none
		r.file = nil
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

// take hands over the file of a chart that is complete.
func (r *arrival) take() *chartfile.Arriving {
	f := r.file
	r.file = nil
	return f
}
