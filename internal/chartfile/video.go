package chartfile

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"os"

	"ionoscribe/fax"
	"ionoscribe/fax/draw"
)

const (
	videoMagic = "ionoscribe video 1\n"
	maxHeader  = 1 << 19 // bytes of the JSON line
)

// Limits of a Drawing that is read: 240 lines a minute make 900 samples, 60 make 3600.
const (
	maxColumns = 8192
	minPeriod  = 800
	maxPeriod  = 4000
	maxEcho    = 60 // 17 ms
)

// header is the line of JSON.
type header struct {
	Info
	Drawing fax.Drawing `json:"drawing"`
}

// EncodeVideo writes the video of a chart with all that it takes to draw it.
func EncodeVideo(w io.Writer, c *Chart) error {
	h := header{c.Info, c.Drawing}
	h.Drawing.Origin -= float64(c.Video.First())
	line, err := json.Marshal(h)
	if err != nil {
		return err
	}
	if _, err := fmt.Fprintf(w, "%s%s\n", videoMagic, line); err != nil {
		return err
	}
	_, err = c.Video.WriteTo(w)
	return err
}

var errNotVideo = errors.New("is not the video of a chart")

// DecodeVideo reads what EncodeVideo wrote; Image stays nil. Of a file that ends early it gives the lines that
// are there, with an error that wraps io.ErrUnexpectedEOF.
func DecodeVideo(r io.Reader) (*Chart, error) {
	br := bufio.NewReaderSize(r, 1<<16)
	magic := make([]byte, len(videoMagic))
	if _, err := io.ReadFull(br, magic); err != nil || string(magic) != videoMagic {
		return nil, errNotVideo
	}
	line, err := readLine(br)
	if err != nil {
		return nil, err
	}
	var h header
	if err := json.Unmarshal(line, &h); err != nil {
		return nil, fmt.Errorf("damaged header: %w", err)
	}
	if err := check(h.Drawing); err != nil {
		return nil, fmt.Errorf("damaged header: %w", err)
	}
	if y := h.Start.Year(); y < 0 || y > 9999 {
		return nil, fmt.Errorf("damaged header: year %d", y)
	}
	c := &Chart{Info: h.Info, Drawing: h.Drawing}
	c.Start, c.End = c.Start.UTC(), c.End.UTC()
	c.Video, err = draw.ReadVideo(br)
	there := math.Ceil((float64(c.Video.End()) - c.Drawing.Origin) / c.Drawing.Period)
	if there < 1 && err == nil {
		err = errors.New("damaged header: the chart lies outside its video")
	}
	if there < float64(c.Drawing.Rows) {
		c.Drawing.Rows = max(0, int(there))
	}
	return c, err
}

// readLine reads a line of at most maxHeader bytes.
func readLine(br *bufio.Reader) ([]byte, error) {
	var line []byte
	for {
		part, err := br.ReadSlice('\n')
		line = append(line, part...)
		switch {
		case len(line) > maxHeader:
			return nil, errors.New("damaged header: it does not end")
		case err == nil:
			return bytes.TrimSuffix(line, []byte("\n")), nil
		case err == io.EOF:
			return nil, io.ErrUnexpectedEOF
		case err != bufio.ErrBufferFull:
			return nil, err
		}
	}
}

// check keeps a Drawing within what can be drawn with bounded memory.
func check(d fax.Drawing) error {
	for _, x := range []float64{d.Origin, d.Period, d.OffsetHz, d.DeviationHz, d.Black, d.White} {
		if math.IsNaN(x) || math.Abs(x) > 1e12 {
			return fmt.Errorf("a number of the drawing is %v", x)
		}
	}
	switch {
	case d.Columns < 1 || d.Columns > maxColumns:
		return fmt.Errorf("%d columns are not within 1 and %d", d.Columns, maxColumns)
	case d.Origin < -maxPeriod:
		return fmt.Errorf("it begins %v samples before its video", -d.Origin)
	case d.Rows < 1:
		return fmt.Errorf("%d lines", d.Rows)
	case !(d.Period >= minPeriod && d.Period <= maxPeriod):
		return fmt.Errorf("a line of %v samples is not within %d and %d", d.Period, minPeriod, maxPeriod)
	case !(d.DeviationHz >= 1 && d.DeviationHz <= fax.VideoRate/2):
		return fmt.Errorf("a deviation of %v Hz is not within 1 and %v", d.DeviationHz, fax.VideoRate/2)
	case math.Abs(d.OffsetHz) > fax.VideoRate/2:
		return fmt.Errorf("an offset of %v Hz", d.OffsetHz)
	case !(d.EchoDelay >= 0 && d.EchoDelay <= maxEcho):
		return fmt.Errorf("an echo %v samples late is not within 0 and %d", d.EchoDelay, maxEcho)
	case d.Black == d.White:
		return errors.New("black and white are the same brightness")
	}
	return nil
}

// OpenVideo reads a chart's video; path is that of the video or of the picture beside it. Every error is an *Error. Of a
// video that ends early it gives the lines that are there, and the error.
func OpenVideo(path string) (*Chart, error) {
	video, err := findVideo(path)
	if err != nil {
		return nil, err
	}
	f, err := os.Open(video)
	if err != nil {
		e := readError(video, err).(*Error)
		if video != path && errors.Is(err, os.ErrNotExist) {
			e.Mend = "a chart is drawn again from the video kept beside its picture, and there is none"
		}
		return nil, e
	}
	defer f.Close()
	c, err := DecodeVideo(f)
	if err == nil {
		return c, nil
	}
	if c == nil || c.Drawing.Rows < 1 || !errors.Is(err, io.ErrUnexpectedEOF) {
		return nil, readError(video, err)
	}
	return c, &Error{Op: "read", Path: video, Err: fmt.Errorf("ends early: %d of %d lines are there: %w", c.Drawing.Rows, c.Lines, io.ErrUnexpectedEOF),
		Mend: "copy it again"}
}

// findVideo tells a picture from a video by its first bytes.
func findVideo(path string) (string, error) {
	f, err := os.Open(path)
	if err != nil {
		return "", readError(path, err)
	}
	defer f.Close()
	head := make([]byte, len(videoMagic))
	n, err := io.ReadFull(f, head)
	switch {
	case n >= len(pngSignature) && string(head[:len(pngSignature)]) == pngSignature:
		return VideoPath(path), nil
	case string(head) == videoMagic:
		return path, nil
	case err != nil && !errors.Is(err, io.EOF) && !errors.Is(err, io.ErrUnexpectedEOF):
		return "", readError(path, err)
	}
	return "", &Error{Op: "read", Path: path, Err: errors.New("is neither a received chart nor its video"), Mend: "name the .png or .video of a chart"}
}

// ReadInfo reads the description of the picture at path. Every error is an *Error.
func ReadInfo(path string) (Info, error) {
	f, err := os.Open(path)
	if err != nil {
		return Info{}, readError(path, err)
	}
	defer f.Close()
	info, err := DecodeInfo(bufio.NewReader(f))
	if err != nil {
		return Info{}, readError(path, err)
	}
	return info, nil
}
