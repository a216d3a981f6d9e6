package web

import (
	"context"
	"errors"
	"io"
	"os"
	"slices"
	"sync"

	"ionoscribe/fax/draw"
	"ionoscribe/internal/chartfile"
)

// mostVideoBytes is what videos take in memory that are kept for previews: some six charts of twenty minutes, which take 17 MB each
// with their track.
const mostVideoBytes = 100 << 20

// videos keeps those that were asked for last.
type videos struct {
	open func(name string) (*os.File, error)
	most int // bytes

	loading chan struct{} // one at a time
	mutex   sync.Mutex
	kept    []*video // the one that was asked for last is the last
}

// video is that of a chart, as it was received. It is only read.
type video struct {
	name  string
	chart *chartfile.Chart
	track *draw.Track
}

func newVideos(open func(name string) (*os.File, error)) *videos {
	return &videos{open: open, most: mostVideoBytes, loading: make(chan struct{}, 1)}
}

// get reads a video, unless it is kept.
func (v *videos) get(ctx context.Context, name string) (*video, error) {
	if k := v.find(name); k != nil {
		return k, nil
	}
	select {
	case v.loading <- struct{}{}:
		defer func() { <-v.loading }()
	case <-ctx.Done():
		return nil, ctx.Err()
	}
	if k := v.find(name); k != nil { // which came meanwhile
		return k, nil
	}
	f, err := v.open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	c, err := chartfile.DecodeVideo(f)
	if errors.Is(err, io.ErrUnexpectedEOF) && c != nil && c.Drawing.Rows > 0 {
		err = nil // the lines that are there will do
	}
	if err != nil {
		return nil, err
	}
	k := &video{name, c, draw.NewTrack(c.Video, c.Drawing.Period)}
	v.keep(k)
	return k, nil
}

func (v *videos) find(name string) *video {
	v.mutex.Lock()
	defer v.mutex.Unlock()
	i := slices.IndexFunc(v.kept, func(k *video) bool { return k.name == name })
	if i < 0 {
		return nil
	}
	k := v.kept[i]
	v.kept = append(slices.Delete(v.kept, i, i+1), k)
	return k
}

// keep keeps a video, and lets go of the oldest ones that are too much then.
func (v *videos) keep(k *video) {
	v.mutex.Lock()
	defer v.mutex.Unlock()
	v.kept = append(v.kept, k)
	bytes := 0
	for i, k := range slices.Backward(v.kept) {
		if bytes += k.bytes(); bytes > v.most && i < len(v.kept)-1 {
			v.kept = slices.Clone(v.kept[i+1:])
			return
		}
	}
}

// bytes is what a video takes, about: a byte a component, and its track.
func (k *video) bytes() int {
	return int(2*(k.chart.Video.End()-k.chart.Video.First())) + k.track.Bytes()
}
