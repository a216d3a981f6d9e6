package chartfile

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"ionoscribe/demod"
	"ionoscribe/fax"
	"ionoscribe/fax/draw"
	"ionoscribe/internal/partfile"
)

const (
	arrivingMagic  = "ionoscribe arriving 1\n"
	arrivingPrefix = "arriving-"
	// namedSuffix is that of the video of a chart whose files have got their name, until both are there.
	namedSuffix = VideoSuffix + partfile.Suffix
	// EndedBroken is how a chart ended whose program was killed or lost its power.
	EndedBroken = "program ended"
)

// Origin is where a chart comes from.
type Origin struct {
	Source    string    `json:"source"`
	Recording string    `json:"recording,omitempty"` // the absolute path of a file, from which the chart can be received again
	Start     time.Time `json:"start"`               // instant of the decoder's sample 0, UTC
	TimeFrom  string    `json:"time_from"`           // how that is known
}

// arrivingHead is the line of JSON in the file of a chart that is coming in.
type arrivingHead struct {
	Origin
	Preview      string `json:"preview"` // name of the picture in the same folder that shows how far it has come
	fax.Arriving        // its indices count from the first sample in the file
}

// Arriving is the file of a chart that is coming in. It only grows, with the video, so that the chart is not lost with
// the program: Adopt finishes it.
type Arriving struct {
	file    *os.File
	path    string
	preview string
	size    int64 // bytes of it that are right
	next    int64 // video index of what it gets next
}

// BeginArriving begins the file of a chart in dir; name is like those of charts. Every error is an *Error.
func BeginArriving(dir, name string, o Origin, a fax.Arriving, v *fax.Video) (*Arriving, error) {
	first := v.First()
	a.From -= first
	a.Base += int64(math.Round(float64(first) * a.Config.SampleRate / fax.VideoRate))
	for n := 1; n <= maxSame; n++ {
		preview := arrivingPrefix + numbered(name, n) + PictureSuffix
		head, err := json.Marshal(arrivingHead{o, preview, a})
		if err != nil {
			return nil, writeError(dir, err)
		}
		path := filepath.Join(dir, VideoPath(preview))
		f, err := partfile.Reserve(path)
		if errors.Is(err, fs.ErrExist) {
			continue
		}
		if err != nil {
			return nil, writeError(path, err)
		}
		r := &Arriving{file: f, path: path, preview: filepath.Join(dir, preview), next: first}
		if err := r.write(slices.Concat([]byte(arrivingMagic), head, []byte("\n"))); err != nil {
			r.Remove()
			return nil, err
		}
		return r, nil
	}
	return nil, tooMany(dir)
}

// numbered tells files of the same name apart; _ sorts after the point.
func numbered(name string, n int) string {
	if n == 1 {
		return name
	}
	return fmt.Sprintf("%s_%d", name, n)
}

// Add writes what has come since. After an error, an *Error, the next call writes it again.
func (r *Arriving) Add(v *fax.Video) error {
	var b bytes.Buffer
	next, _ := v.WriteBlocks(&b, r.next) // a buffer takes all
	if b.Len() == 0 {
		return nil
	}
	if err := r.write(b.Bytes()); err != nil {
		return err
	}
	r.next = next
	return nil
}

// write appends b, or nothing of it.
func (r *Arriving) write(b []byte) error {
	if fi, err := r.file.Stat(); err == nil && fi.Size() != r.size {
		if err := r.file.Truncate(r.size); err != nil {
			return writeError(r.path, err)
		}
	}
	if _, err := r.file.WriteAt(b, r.size); err != nil {
		r.file.Truncate(r.size) // if it fails, the next call does it
		return writeError(r.path, err)
	}
	r.size += int64(len(b))
	return nil
}

// Preview draws the chart as far as it has come into a picture beside the file. Every error is an *Error.
func (r *Arriving) Preview(c *Chart) error {
	return WriteFile(r.preview, func(w io.Writer) error { return EncodePNG(w, c.Image, c.Info) })
}

// name names the file after a picture that is about to get its name. Whoever adopts the file then knows what the
// program that was killed had come to, and no chart is saved twice. It might be where an open file cannot be renamed.
func (r *Arriving) name(picture string) {
	if named := VideoPath(picture) + partfile.Suffix; os.Rename(r.path, named) == nil {
		r.path = named
	}
}

// Remove removes the file and the preview, whose place the chart has taken.
func (r *Arriving) Remove() {
	r.file.Close()
	os.Remove(r.path)
	os.Remove(r.preview)
}

// Close leaves the file to whoever adopts it.
func (r *Arriving) Close() { r.file.Close() }

// Adopted is a chart that a program which was killed was receiving.
type Adopted struct {
	Origin
	*Chart
	Picture, Video string // see Save
}

// Adopt saves the charts that were coming into dir when the program that received them was killed, each into the folder that
// into says, and calls f with it. A chart from one of the recordings, which are going to be received again, is dropped. It returns
// what could not be read or saved, which stays where it is; all are *Errors.
func Adopt(dir string, recordings []string, into func(*Chart) string, f func(Adopted)) []error {
	var errs []error
	entries, err := os.ReadDir(dir)
	if err != nil {
		return []error{readError(dir, err)}
	}
	for _, e := range entries {
		n := e.Name()
		if !(strings.HasPrefix(n, arrivingPrefix) && strings.HasSuffix(n, VideoSuffix)) && !strings.HasSuffix(n, namedSuffix) {
			continue
		}
		path := filepath.Join(dir, n)
		if file := partfile.Orphan(path); file != nil { // or a program that lives has it
			if err := adopt(&Arriving{file: file, path: path}, recordings, into, f); err != nil {
				errs = append(errs, err)
			}
			file.Close()
		}
	}
	return errs
}

func adopt(r *Arriving, recordings []string, into func(*Chart) string, f func(Adopted)) error {
	head, v, err := readArriving(r.file)
	if err != nil {
		return readError(r.path, err)
	}
	dir, name := filepath.Dir(r.path), filepath.Base(head.Preview)
	if strings.HasPrefix(name, arrivingPrefix) && strings.HasSuffix(name, PictureSuffix) {
		r.preview = filepath.Join(dir, name)
	}
	if v == nil || head.Recording != "" && slices.Contains(recordings, head.Recording) {
		r.Remove()
		return nil
	}
	ch, err := head.Finish(v, EndedBroken)
	if err != nil {
		return readError(r.path, err)
	}
	if ch == nil { // too little
		r.Remove()
		return nil
	}
	timeOf := func(i int64) time.Time { return head.Start.Add(demod.Rate(ch.SampleRate).Duration(i)) }
	c := New(ch, timeOf, head.TimeFrom)
	if video, ok := strings.CutSuffix(r.path, partfile.Suffix); ok { // its files had got their name
		picture := strings.TrimSuffix(video, VideoSuffix) + PictureSuffix
		if exists(picture) {
			if !exists(video) {
				err = SaveVideo(picture, c)
			}
			if err == nil {
				r.Remove()
			}
			return err
		}
		os.Remove(video)
		os.Remove(picture + partfile.Suffix)
	}
	picture, video, err := Save(into(c), c, r)
	if picture != "" {
		f(Adopted{head.Origin, c, picture, video})
	}
	return err
}

// readArriving reads the file of a chart that is coming in; the video is nil if there is none yet.
func readArriving(r io.Reader) (h arrivingHead, v *fax.Video, err error) {
	br := bufio.NewReaderSize(r, 1<<16)
	magic := make([]byte, len(arrivingMagic))
	if n, err := io.ReadFull(br, magic); string(magic[:n]) != arrivingMagic[:n] {
		return h, nil, errors.New("is not the video of a chart")
	} else if err != nil {
		return h, nil, nil // killed before there was anything
	}
	line, err := readLine(br)
	if errors.Is(err, io.ErrUnexpectedEOF) {
		return h, nil, nil
	}
	if err != nil {
		return h, nil, err
	}
	if err := json.Unmarshal(line, &h); err != nil {
		return h, nil, fmt.Errorf("damaged header: %w", err)
	}
	if y := h.Start.Year(); y < 0 || y > 9999 {
		return h, nil, fmt.Errorf("damaged header: year %d", y)
	}
	v, err = draw.ReadBlocks(br)
	return h, v, err
}
