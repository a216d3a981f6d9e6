package chartfile

import (
	"bytes"
	"errors"
	"image"
	"image/png"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

func encoded(tb testing.TB) (picture, video []byte) {
	var p, v bytes.Buffer
	c := testChart()
	must(tb, EncodePNG(&p, c.Image, c.Info))
	must(tb, EncodeVideo(&v, c))
	return p.Bytes(), v.Bytes()
}

func TestHostileVideo(t *testing.T) {
	_, good := encoded(t)
	swap := func(from, to string) []byte {
		if !bytes.Contains(good, []byte(from)) {
			t.Fatal("no ", from)
		}
		return bytes.Replace(good, []byte(from), []byte(to), 1)
	}
	for name, b := range map[string][]byte{
		"empty":            nil,
		"text":             []byte("hello"),
		"magic only":       []byte(videoMagic),
		"endless header":   append([]byte(videoMagic), bytes.Repeat([]byte("x"), maxHeader+1<<17)...),
		"no JSON":          []byte(videoMagic + "x\n"),
		"too wide":         swap(`"Columns":1810`, `"Columns":1810000000`),
		"no lines":         swap(`"Rows":3`, `"Rows":-3`),
		"short lines":      swap(`"Period":1800`, `"Period":1`),
		"long lines":       swap(`"Period":1800`, `"Period":1e9`),
		"no deviation":     swap(`"DeviationHz":400`, `"DeviationHz":0`),
		"far offset":       swap(`"OffsetHz":8.5`, `"OffsetHz":1e10`),
		"outside":          swap(`"Origin":100`, `"Origin":1e9`),
		"before":           swap(`"Origin":100`, `"Origin":-1e9`),
		"no contrast":      swap(`"White":1`, `"White":0`),
		"header only":      good[:bytes.LastIndexByte(good[:3000], '\n')+1],
		"first line short": good[:bytes.IndexByte(good, 'l')+4],
	} {
		c, err := DecodeVideo(bytes.NewReader(b))
		if err == nil || strings.Contains(err.Error(), "\n") {
			t.Errorf("%s: %v, %v", name, c, err)
		}
	}
	c, err := DecodeVideo(bytes.NewReader(swap(`"Rows":3`, `"Rows":2000000000`)))
	if err != nil || c.Drawing.Rows != 4 { // what 5600 samples of video hold
		t.Errorf("two thousand million lines: %+v, %v", c.Drawing, err)
	}
	c, err = DecodeVideo(bytes.NewReader(good[:len(good)-6000]))
	if !errors.Is(err, io.ErrUnexpectedEOF) || c.Drawing.Rows != 2 {
		t.Errorf("cut: %+v, %v", c.Drawing, err)
	}
}

func TestHostileInfo(t *testing.T) {
	good, _ := encoded(t)
	huge := append([]byte(nil), good[:headerEnd]...)
	huge = append(huge, "\x7f\xff\xff\xfftEXtx"...)
	for name, b := range map[string][]byte{
		"empty":      nil,
		"text":       []byte("hello"),
		"signature":  good[:8],
		"cut":        good[:500],
		"huge chunk": huge,
		"bad time":   bytes.Replace(good, []byte("2026-03"), []byte("2026-13"), 1),
	} {
		if i, err := DecodeInfo(bytes.NewReader(b)); err == nil {
			t.Errorf("%s: %+v", name, i)
		}
	}
	var plain bytes.Buffer
	must(t, png.Encode(&plain, image.NewGray(image.Rect(0, 0, 1, 1))))
	if _, err := DecodeInfo(&plain); err == nil || !strings.Contains(err.Error(), "not a received chart") {
		t.Errorf("some other picture: %v", err)
	}
}

func TestOpenPicture(t *testing.T) {
	good, video := encoded(t)
	huge := append([]byte(nil), good...)
	copy(huge[16:], "\x00\x01\x00\x00\x00\x01\x00\x00") // 65536 × 65536
	huge[29], huge[30], huge[31], huge[32] = 0x27, 0x86, 0xb2, 0xf3
	dir := t.TempDir()
	for name, b := range map[string][]byte{"good.png": good, "video": video, "empty": nil, "huge.png": huge, "cut.png": good[:len(good)/2]} {
		path := filepath.Join(dir, name)
		must(t, os.WriteFile(path, b, 0o666))
		m, err := OpenPicture(path)
		if name == "good.png" {
			if err != nil || m.Bounds().Dx() != 1810 {
				t.Errorf("%s: %v", name, err)
			}
		} else if err == nil || !strings.Contains(err.Error(), path) {
			t.Errorf("%s: %v", name, err)
		}
	}
	for _, path := range []string{dir, filepath.Join(dir, "absent")} {
		for _, f := range []func(string) error{
			func(p string) error { _, err := OpenPicture(p); return err },
			func(p string) error { _, err := OpenVideo(p); return err },
			func(p string) error { _, err := ReadInfo(p); return err },
		} {
			var e *Error
			if err := f(path); !errors.As(err, &e) || e.Mend == "" {
				t.Errorf("%s: %v", path, err)
			}
		}
	}
}

func FuzzDecodeVideo(f *testing.F) {
	_, good := encoded(f)
	f.Add(good)
	f.Add(good[:len(good)-5000])
	f.Fuzz(func(t *testing.T, b []byte) {
		c, err := DecodeVideo(bytes.NewReader(b))
		if err != nil {
			return
		}
		if d := c.Drawing; d.Columns > maxColumns || d.Rows*minPeriod > len(b)+3*maxPeriod {
			t.Fatalf("%+v from %d bytes", d, len(b))
		}
		var w bytes.Buffer
		must(t, EncodeVideo(&w, c))
		if _, err := DecodeVideo(&w); err != nil {
			t.Fatal("does not come back:", err)
		}
	})
}

func FuzzDecodeInfo(f *testing.F) {
	good, _ := encoded(f)
	f.Add(good)
	f.Add(good[:1000])
	f.Fuzz(func(t *testing.T, b []byte) {
		i, err := DecodeInfo(bytes.NewReader(b))
		if err == nil && len(i.Quality) > len(b) {
			t.Fatal("more lines than bytes")
		}
	})
}
