package audio

import (
	"bytes"
	"encoding/binary"
	"errors"
	"io"
	"math"
	"os"
	"path/filepath"
	"testing"
)

func TestWriteAndRead(t *testing.T) {
	x := append(tone(1000, 12000, 3000), 1, -1, 2, -2, float32(math.NaN()))
	for _, enc := range []Encoding{S16, F32} {
		want, tol := append([]float32(nil), x...), 0.5/32768
		want[len(x)-1] = 0
		if enc == S16 {
			copy(want[len(x)-5:], []float32{32767.0 / 32768, -1, 32767.0 / 32768, -1})
		} else {
			tol = 0
		}
		path := filepath.Join(t.TempDir(), "a.wav")
		w, err := CreateWAV(path, 12000, enc)
		if err != nil {
			t.Fatal(err)
		}
		for i := 0; i < len(x); i += 5 {
			if err := w.WriteSamples(x[i : i+5]); err != nil {
				t.Fatal(err)
			}
		}
		if _, err := os.Stat(path); err == nil {
			t.Error("the file has its name before it is complete")
		}
		if err := w.Close(); err != nil {
			t.Fatal(err)
		}
		if err := w.Close(); err != nil || w.WriteSamples(x) == nil {
			t.Error("after Close:", err)
		}
		file, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		le, header := binary.LittleEndian, 80
		if enc == F32 {
			header += 2 + 12 // an empty extension, and the chunk "fact"
			if n := int(le.Uint32(file[82:])); string(file[74:78]) != "fact" || n != len(x) {
				t.Errorf("fact: % x", file[74:86])
			}
		}
		if int(le.Uint32(file[4:])) != len(file)-8 || int(le.Uint32(file[header-4:])) != len(file)-header {
			t.Errorf("lengths % x", file[:header])
		}
		var pipe bytes.Buffer
		w, err = NewWAVWriter(&pipe, 12000, enc)
		if err != nil {
			t.Fatal(err)
		}
		w.WriteSamples(x)
		if err := w.Close(); err != nil {
			t.Fatal(err)
		}
		if le.Uint32(pipe.Bytes()[4:]) != 0xFFFFFFFF || le.Uint32(pipe.Bytes()[header-4:]) != 0xFFFFFFFF || !bytes.Equal(pipe.Bytes()[header:], file[header:]) {
			t.Errorf("pipe: % x", pipe.Bytes()[:header])
		}
		for i, p := range []string{path, "-"} {
			src, err := Open(p, Options{Stdin: &pipe})
			if err != nil {
				t.Fatal(err)
			}
			if length := [2]int64{int64(len(x)), -1}[i]; src.Length() != length {
				t.Error("length", src.Length())
			}
			got, err := readAll(t, src, 64)
			if err != nil {
				t.Fatal(err)
			}
			compare(t, got, want, tol)
			src.Close()
		}
		if files, _ := os.ReadDir(filepath.Dir(path)); len(files) != 1 {
			t.Error("left over:", files)
		}
	}
}

// 16-bit samples survive unchanged.
func TestS16Exact(t *testing.T) {
	for v := math.MinInt16; v <= math.MaxInt16; v++ {
		if got := toS16(float32(v) / 32768); int(got) != v {
			t.Fatalf("%d became %d", v, got)
		}
	}
}

// More than 4 GiB becomes RF64; the file is sparse. EBU Tech 3306: sizes are 0xFFFFFFFF and ds64 comes first.
func TestRF64(t *testing.T) {
	path := filepath.Join(t.TempDir(), "big.wav")
	w, err := CreateWAV(path, 48000, S16)
	if err != nil {
		t.Fatal(err)
	}
	const frames = 5 << 29 // 5 GiB
	if err := w.Flush(); err != nil {
		t.Fatal(err)
	}
	f := w.w.(*os.File)
	if err := f.Truncate(80 + 2*frames - 2); err != nil {
		t.Skip("no sparse files: ", err)
	}
	f.Seek(0, io.SeekEnd)
	w.size = 2*frames - 2
	w.WriteSamples([]float32{0.5})
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	src, err := Open(path, Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer src.Close()
	if src.Length() != frames {
		t.Errorf("length %d", src.Length())
	}
	b := make([]byte, 80)
	g, _ := os.Open(path)
	defer g.Close()
	io.ReadFull(g, b)
	le := binary.LittleEndian
	if string(b[:4]) != "RF64" || le.Uint32(b[4:]) != 0xFFFFFFFF || string(b[8:16]) != "WAVEds64" || le.Uint32(b[16:]) != 28 ||
		le.Uint64(b[20:]) != 2*frames+72 || le.Uint64(b[28:]) != 2*frames || le.Uint64(b[36:]) != frames || le.Uint32(b[76:]) != 0xFFFFFFFF {
		t.Errorf("% x", b)
	}
}

func TestCreate(t *testing.T) {
	dir := t.TempDir()
	for _, path := range []string{filepath.Join(dir, "no", "a.wav"), dir} {
		_, err := CreateWAV(path, 12000, S16)
		wantError(t, err, path)
	}
	for _, rate := range []float64{0, -1, 12000.5, 1e9, math.NaN()} {
		if _, err := CreateWAV(filepath.Join(dir, "a.wav"), rate, S16); err == nil {
			t.Error("rate", rate)
		}
	}
	if _, err := CreateWAV(filepath.Join(dir, "a.wav"), 12000, U8); err == nil {
		t.Error("u8 was written")
	}
	w, err := CreateWAV(filepath.Join(dir, "a.wav"), 12000, S16)
	if err != nil {
		t.Fatal(err)
	}
	w.Abort()
	if files, _ := os.ReadDir(dir); len(files) != 0 {
		t.Error("left over:", files)
	}

	// A link stays a link, and a device a device.
	target, link := filepath.Join(dir, "target.wav"), filepath.Join(dir, "link.wav")
	os.WriteFile(target, nil, 0o666)
	if err := os.Symlink(target, link); err == nil {
		w, err := CreateWAV(link, 12000, S16)
		if err != nil {
			t.Fatal(err)
		}
		if err := w.Close(); err != nil {
			t.Fatal(err)
		}
		if fi, _ := os.Lstat(link); fi.Mode()&os.ModeSymlink == 0 {
			t.Error("the link was replaced")
		}
	}
	if fi, err := os.Stat(os.DevNull); err == nil && !fi.Mode().IsRegular() {
		w, err := CreateWAV(os.DevNull, 12000, S16)
		if err != nil {
			t.Fatal(err)
		}
		w.WriteSamples(make([]float32, 100))
		if err := w.Close(); err != nil {
			t.Error(err)
		}
		if fi, err := os.Stat(os.DevNull); err != nil || fi.Mode().IsRegular() {
			t.Fatal("the device was replaced")
		}
	}
}

type fullWriter struct{ left int }

var errFull = errors.New("no space left on device")

func (w *fullWriter) Write(b []byte) (int, error) {
	if w.left -= len(b); w.left < 0 {
		return 0, errFull
	}
	return len(b), nil
}

func TestDiskFull(t *testing.T) {
	w, err := NewWAVWriter(&fullWriter{100_000}, 12000, S16)
	if err != nil {
		t.Fatal(err)
	}
	for range 100 {
		err = w.WriteSamples(make([]float32, 1000))
	}
	if err != errFull || w.Close() != errFull {
		t.Error(err)
	}
}

// A link to a file that is not there yet stays a link, and what a run that was killed has left behind goes.
func TestCreateThroughDanglingLink(t *testing.T) {
	dir := t.TempDir()
	link, target, left := filepath.Join(dir, "link.wav"), filepath.Join(dir, "target.wav"), filepath.Join(dir, "x.wav.0123abcd.part")
	if err := errors.Join(os.Symlink("target.wav", link), os.WriteFile(left, nil, 0o666)); err != nil {
		t.Fatal(err)
	}
	w, err := CreateWAV(link, 8000, S16)
	if err != nil {
		t.Fatal(err)
	}
	w.WriteSamples(make([]float32, 9))
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	if to, err := os.Readlink(link); err != nil || to != "target.wav" {
		t.Errorf("the link has become %q, %v", to, err)
	}
	if fi, err := os.Stat(target); err != nil || fi.Size() == 0 {
		t.Error(err)
	}
	if _, err := os.Stat(left); err == nil {
		t.Error("left behind")
	}
}
