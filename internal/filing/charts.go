package filing

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"time"

	"ionoscribe/internal/chartfile"
)

// Charts saves charts into a folder. What that does not take, because the disk is full or the folder gone, is kept
// and tried again.
type Charts struct {
	// Into says into which folder a chart is saved; nil: into that in which it came in.
	Into func(*chartfile.Chart) string

	folder  string
	noVideo bool
	trouble *Trouble
	now     func() time.Time
	kept    []keptChart
	tried   time.Time
	gaveUp  int   // charts that were given up
	lost    error // why, of the latest
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

func NewCharts(folder string, noVideo bool, t *Trouble) *Charts {
	return &Charts{folder: folder, noVideo: noVideo, trouble: t, now: time.Now}
}

// Save saves a chart, now or later, and then calls saved.
func (k *Charts) Save(c *chartfile.Chart, arriving *chartfile.Arriving, saved func(picture, video string)) {
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

func (k *Charts) into(c *chartfile.Chart) string {
	if k.Into == nil {
		return k.folder
	}
	return k.Into(c)
}

// size is that of the kept charts in bytes.
func (k *Charts) size() (n int64) {
	for _, c := range k.kept {
		n += int64(len(c.chart.Image.Pix))
		if v := c.chart.Video; v != nil {
			n += 2 * (v.End() - v.First())
		}
	}
	return n
}

// giveUp lets go of the oldest chart; what is on disk of it stays there.
func (k *Charts) giveUp() {
	c := k.kept[0]
	k.kept = k.kept[:copy(k.kept, k.kept[1:])]
	if c.picture != "" {
		c.saved(c.picture, "")
	}
	if c.arriving != nil {
		c.arriving.Close()
	}
	k.gaveUp++
	k.lost = c.err
}

// try tries to save a chart.
func (k *Charts) try(c *keptChart) bool {
	video := ""
	if c.picture != "" {
		if c.err = chartfile.SaveVideo(c.picture, c.chart); c.err == nil {
			video = chartfile.VideoPath(c.picture)
			if c.arriving != nil {
				c.arriving.Remove()
			}
		}
	} else {
		c.picture, video, c.err = chartfile.Save(k.into(c.chart), c.chart, c.arriving)
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

// Kept is how many charts are not saved yet, and how many were given up.
func (k *Charts) Kept() (kept, lost int) { return len(k.kept), k.gaveUp }

// Retry tries again, if it is time.
func (k *Charts) Retry() {
	if len(k.kept) > 0 && k.now().Sub(k.tried) >= tryEvery {
		k.retryNow()
	}
}

func (k *Charts) retryNow() {
	for len(k.kept) > 0 && k.try(&k.kept[0]) {
		k.kept = k.kept[:copy(k.kept, k.kept[1:])]
	}
	k.tried = k.now()
}

// Close tries for the last time; the error tells what is not saved.
func (k *Charts) Close() error {
	k.retryNow()
	for len(k.kept) > 0 {
		k.giveUp()
	}
	if k.gaveUp > 1 {
		return fmt.Errorf("%w; so it was with %d charts", k.lost, k.gaveUp)
	}
	return k.lost
}

// Adopt saves the charts that were coming in when an earlier run was killed, but for those in recordings that are read
// again.
func (k *Charts) Adopt(sources []string, saved func(chartfile.Adopted)) error {
	var recordings []string
	for _, path := range sources {
		if r := RecordingPath(path); r != "" {
			recordings = append(recordings, r)
		}
	}
	return errors.Join(chartfile.Adopt(k.folder, recordings, k.into, saved)...)
}

// RecordingPath is the absolute path of a source that is a file and can be read again, or "".
func RecordingPath(source string) string {
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
