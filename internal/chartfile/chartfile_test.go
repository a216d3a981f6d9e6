package chartfile

import (
	"bytes"
	"encoding/binary"
	"encoding/json"
	"errors"
	"hash/crc32"
	"image"
	"image/png"
	"io"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"sort"
	"strings"
	"syscall"
	"testing"
	"time"
)

func TestSaveAndReadBack(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "new", "folder")
	c := testChart()
	picture, video, err := Save(dir, c, nil)
	must(t, err)
	if want := filepath.Join(dir, "20260304T121500Z-120-576.png"); picture != want || video != strings.TrimSuffix(want, "png")+"video" {
		t.Errorf("named %s and %s", picture, video)
	}

	f, err := os.Open(picture)
	must(t, err)
	defer f.Close()
	m, err := png.Decode(f)
	must(t, err)
	if g, ok := m.(*image.Gray); !ok || g.Rect != c.Image.Rect || !bytes.Equal(g.Pix, c.Image.Pix) {
		t.Errorf("the picture comes back as another %T of %v", m, m.Bounds())
	}

	info, err := ReadInfo(picture)
	must(t, err)
	want := c.Info
	want.Quality = Quality{1, 128.0 / 255, 0}
	if !reflect.DeepEqual(info, want) {
		t.Errorf("PNG says\n%+v, want\n%+v", info, want)
	}

	for _, path := range []string{picture, video} {
		back, err := OpenVideo(path)
		must(t, err)
		if !reflect.DeepEqual(back.Info, want) || back.Drawing != c.Drawing {
			t.Errorf("video says\n%+v %+v, want\n%+v %+v", back.Info, back.Drawing, want, c.Drawing)
		}
		if back.Video.End() != c.Video.End() {
			t.Errorf("%d samples of video, want %d", back.Video.End(), c.Video.End())
		}
	}
}

func TestOriginCountsFromFirstSampleKept(t *testing.T) {
	c := testChart()
	c.Video.Append(make([]complex64, 100000))
	c.Video.DropBefore(70000)
	first := c.Video.First()
	if first == 0 {
		t.Fatal("nothing was dropped")
	}
	c.Drawing.Origin = float64(first) + 12.5
	var b bytes.Buffer
	must(t, EncodeVideo(&b, c))
	back, err := DecodeVideo(&b)
	must(t, err)
	if back.Drawing.Origin != 12.5 {
		t.Errorf("origin %v, want 12.5", back.Drawing.Origin)
	}
}

// The file is built by testdata/text_chunk.py from the PNG specification.
func TestDecodeInfoOfIndependentFile(t *testing.T) {
	info, err := ReadInfo("testdata/text_chunk.png")
	must(t, err)
	if want := (Info{Start: zero.Add(15*time.Minute + 250*time.Millisecond), IOC: 288}); !reflect.DeepEqual(info, want) {
		t.Errorf("%+v, want %+v", info, want)
	}
}

// W3C PNG Specification, third edition: 5.3 layout and CRC of chunks, 5.6 order of chunks, 11.3.3 keywords of 1
// to 79 characters, no leading, trailing or double space, text without a null.
func TestPNGChunks(t *testing.T) {
	var b bytes.Buffer
	c := testChart()
	c.Began = "a\nb\x00ü"
	must(t, EncodePNG(&b, c.Image, c.Info))
	rest := b.Bytes()[8:]
	var kinds []string
	for len(rest) > 0 {
		n := binary.BigEndian.Uint32(rest)
		kind, data := string(rest[4:8]), rest[8:8+n]
		if crc32.ChecksumIEEE(rest[4:8+n]) != binary.BigEndian.Uint32(rest[8+n:]) {
			t.Errorf("wrong CRC of %s", kind)
		}
		if kind == "tEXt" {
			k, text, _ := bytes.Cut(data, []byte{0})
			key := string(k)
			if len(key) < 1 || len(key) > 79 || strings.TrimSpace(key) != key || strings.Contains(key, "  ") || bytes.IndexByte(text, 0) >= 0 {
				t.Errorf("bad text chunk %q", data)
			}
		}
		kinds = append(kinds, kind)
		rest = rest[12+n:]
	}
	if kinds[0] != "IHDR" || kinds[1] != "tEXt" || kinds[len(kinds)-1] != "IEND" {
		t.Errorf("chunks %v", kinds)
	}
}

func TestNamesCollideAndSort(t *testing.T) {
	dir := t.TempDir()
	c := testChart()
	c.Video = nil
	var names []string
	for i := range 4 {
		if i == 3 {
			c.Start = c.Start.Add(time.Second)
		}
		picture, video, err := Save(dir, c, nil)
		must(t, err)
		if video != "" {
			t.Errorf("a video %s that was not wanted", video)
		}
		names = append(names, filepath.Base(picture))
	}
	want := []string{"20260304T121500Z-120-576.png", "20260304T121500Z-120-576_2.png", "20260304T121500Z-120-576_3.png", "20260304T121501Z-120-576.png"}
	if !reflect.DeepEqual(names, want) || !sort.StringsAreSorted(names) {
		t.Errorf("names %v", names)
	}
	if all, _ := os.ReadDir(dir); len(all) != 4 {
		t.Errorf("files left behind: %v", all)
	}
}

// Charts saved at the same time by several receivers each get a name of their own.
func TestSaveAtOnce(t *testing.T) {
	dir := t.TempDir()
	const n = 8
	errs := make(chan error, n)
	for range n {
		go func() { _, _, err := Save(dir, testChart(), nil); errs <- err }()
	}
	for range n {
		must(t, <-errs)
	}
	if all, _ := filepath.Glob(filepath.Join(dir, "*")); len(all) != 2*n {
		t.Errorf("%d files, want %d: %v", len(all), 2*n, all)
	}
}

func TestNumbersThatJSONCannotHold(t *testing.T) {
	f := testChart()
	f.SNR, f.Quality = finite(math.Inf(1)), Quality{float32(math.NaN()), 2, -1}
	if b, err := json.Marshal(f.Info); err != nil || !bytes.Contains(b, []byte(`"quality":"00ff00"`)) {
		t.Errorf("%s, %v", b, err)
	}
}

func TestFolderThatCannotBeWritten(t *testing.T) {
	file := filepath.Join(t.TempDir(), "file")
	must(t, os.WriteFile(file, nil, 0o666))
	for _, dir := range []string{file, filepath.Join(file, "in"), "/dev/full", "/proc/no"} {
		picture, video, err := Save(dir, testChart(), nil)
		var e *Error
		if !errors.As(err, &e) || e.Mend == "" || strings.Contains(err.Error(), "\n") || picture+video != "" {
			t.Errorf("%s: %s %s %v", dir, picture, video, err)
		}
	}
}

func TestFullDisk(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "x.video")
	err := WriteFile(path, func(w io.Writer) error {
		io.WriteString(w, "half of it")
		return &os.PathError{Op: "write", Path: "x", Err: syscall.ENOSPC}
	})
	if want := "write " + path + ": no space left on device; free some space or choose another folder"; err == nil || err.Error() != want {
		t.Errorf("%v, want %s", err, want)
	}
	if all, _ := os.ReadDir(dir); len(all) != 0 {
		t.Errorf("left behind: %v", all)
	}
	err = WriteFile("/dev/full", func(w io.Writer) error { _, err := w.Write([]byte("x")); return err })
	if !errors.Is(err, syscall.ENOSPC) {
		t.Errorf("/dev/full: %v", err)
	}
}

// A video that cannot be written must not cost the picture: here a folder has its name.
func TestPictureSurvivesVideo(t *testing.T) {
	c := testChart()
	dir := t.TempDir()
	c.Video = nil
	picture, _, err := Save(dir, c, nil)
	must(t, err)
	must(t, WriteFile(picture, func(w io.Writer) error { return EncodePNG(w, c.Image, c.Info) })) // over itself
	if _, err := ReadInfo(picture); err != nil {
		t.Error(err)
	}
	if _, err := OpenVideo(picture); err == nil || !strings.Contains(err.Error(), "none") {
		t.Errorf("no video: %v", err)
	}
}
