package audio

import (
	"bytes"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"
)

func TestOpenErrors(t *testing.T) {
	stereo := riff("RIFF", format(1, 2, 12000, 16), s16(1, 2))
	good := riff("RIFF", pcm16, s16(1, 2))
	flac, err := os.ReadFile("testdata/sox-s16.flac")
	if err != nil {
		t.Fatal(err)
	}
	rawOrder := Options{Rate: 12000, Encoding: S16}
	for _, c := range []struct {
		name string
		b    []byte
		o    Options
		want string // part of the line
	}{
		{"empty", nil, Options{}, "is empty"},
		{"one byte", []byte{1}, Options{}, "as no recording does"},
		{"text", []byte("Gale warning\n"), Options{}, "as no recording does"},
		{"M4A", []byte("\x00\x00\x00\x20ftypM4A \x00\x00\x00\x00"), Options{}, "is MP4 (such as M4A with AAC or ALAC), which is not read; convert it to WAV or FLAC"},
		{"WMA", []byte("\x30\x26\xb2\x75\x8e\x66\xcf\x11\xa6\xd9"), Options{}, "is ASF (such as WMA), which is not read; convert it to WAV or FLAC"},
		{"AAC", []byte("\xff\xf1\x50\x80"), Options{}, "is AAC, which is not read"},
		{"MP2", []byte("\xff\xfd\x84\x04\x00\x00"), Options{}, "is MPEG audio layer II, which is not read"},
		{"MP3 at 8 kHz", []byte("\xff\xe3\x38\xc4\x00\x00"), Options{}, "is MP3 at 8000 Hz, which is not read"},
		{"zipped", []byte("PK\x03\x04\x14\x00"), Options{}, "is ZIP, which is not read; unpack it"},
		{"a SigMF archive", append(make([]byte, 257), "ustar\x00"...), Options{}, "is tar (such as a SigMF archive), which is not read; unpack it"},
		{"half an Ogg page", []byte("OggS\x00\x02"), Options{}, "ends inside the Ogg header"},
		{"AIFF alone", []byte("FORM\x00\x00\x00\x04AIFF"), Options{}, "ends inside the AIFF header"},
		{"other IFF", []byte("FORM\x00\x00\x00\x048SVX"), Options{}, "not AIFF"},
		{"W64 alone", []byte(w64Riff), Options{}, "ends inside the W64 header"},
		{"empty raw", nil, rawOrder, "is empty"},
		{"raw without rate", []byte("1234567"), Options{Encoding: S16}, "give --rate"},
		{"raw without encoding", []byte("1234567"), Options{Rate: 12000}, "give --encoding"},
		{"raw of a strange encoding", []byte("1234567"), Options{Rate: 12000, Encoding: "s17"}, "unknown encoding"},
		{"raw, less than a sample", []byte{1}, rawOrder, "no samples"},
		{"raw at 0.1 Hz", []byte("1234567"), Options{Rate: 0.1, Encoding: S16}, "sample rate of 0.1 Hz"},
		{"raw of 9 channels", []byte("1234567"), Options{Rate: 12000, Encoding: S16, Channels: 9}, "9 channels"},
		{"header only", riff("RIFF", pcm16, s16()), Options{}, "no samples"},
		{"header without data", riff("RIFF", pcm16), Options{}, "ends inside the WAV header"},
		{"half a header", good[:20], Options{}, "ends inside the WAV header"},
		{"RIFF alone", good[:4], Options{}, "ends inside the WAV header"},
		{"other RIFF", []byte("RIFF\x04\x00\x00\x00AVI LIST"), Options{}, "not WAVE"},
		{"data first", riff("RIFF", s16(1, 2), pcm16), Options{}, "before their format"},
		{"short format", riff("RIFF", chunk{id: "fmt ", body: make([]byte, 14)}, s16(1)), Options{}, "format chunk of 14 bytes"},
		{"ADPCM", riff("RIFF", format(0x11, 1, 12000, 4), s16(1)), Options{}, "format 0x0011"},
		{"extensible, other guid", riff("RIFF", chunk{id: "fmt ", body: append(format(0xFFFE, 1, 12000, 16).body, make([]byte, 24)...)}, s16(1)), Options{}, "format 0xFFFE"},
		{"16-bit float", riff("RIFF", format(3, 1, 12000, 16), s16(1)), Options{}, "16 bits"},
		{"0 bits", riff("RIFF", format(1, 1, 12000, 0), s16(1)), Options{}, "0 bits"},
		{"frame of other size", riff("RIFF", chunk{id: "fmt ", body: append(format(1, 2, 12000, 16).body[:12], 2, 0, 16, 0)}, s16(1)), Options{}, "contradicts itself"},
		{"0 Hz", riff("RIFF", format(1, 1, 0, 16), s16(1)), Options{}, "sample rate of 0 Hz"},
		{"1 GHz", riff("RIFF", format(1, 1, 1e9, 16), s16(1)), Options{}, "sample rate of 1e+09 Hz"},
		{"0 channels", riff("RIFF", format(1, 0, 12000, 16), s16(1)), Options{}, "has 0 channels"},
		{"64 channels", riff("RIFF", format(1, 64, 12000, 16), s16(make([]int16, 64)...)), Options{}, "has 64 channels"},
		{"endless chunks", riff("RIFF", make([]chunk, 1001)...), Options{}, "ends inside"},
		{"lying chunk", riff("RIFF", chunk{id: "LIST", body: make([]byte, 9), size: 1 << 31}), Options{}, "ends inside the WAV header"},
		{"right of mono", good, Options{Channel: "right"}, "not among its 1"},
		{"third of two", stereo, Options{Channel: "3"}, "not among its 2"},
		{"strange channel", stereo, Options{Channel: "0"}, "unknown channel"},
		{"rate against header", good, Options{Rate: 48000}, "leave out --rate"},
		{"FLAC alone", flac[:4], Options{}, "ends inside the FLAC header"},
		{"half a FLAC header", flac[:30], Options{}, "ends inside the FLAC header"},
		{"FLAC, half its tags", flac[:len(flac)-200], Options{}, "ends inside the FLAC header"},
		{"FLAC with damage", append(bytes.Clone(flac[:8]), bytes.Repeat([]byte{0}, 60)...), Options{}, "damaged FLAC header"},
	} {
		for _, path := range []string{writeFile(t, "a", c.b), "-"} {
			c.o.Stdin = bytes.NewReader(c.b)
			src, err := Open(path, c.o)
			if err == nil {
				t.Errorf("%s: no error", c.name)
				src.Close()
				continue
			}
			name := path
			if path == "-" {
				name = "standard input"
			}
			wantError(t, err, name)
			if !strings.Contains(err.Error(), c.want) || strings.Contains(err.Error(), "\n") {
				t.Errorf("%s: %v", c.name, err)
			}
		}
	}
}

func TestFileErrors(t *testing.T) {
	dir := t.TempDir()
	_, err := Open(dir, Options{})
	wantError(t, err, dir)
	missing := filepath.Join(dir, "missing.wav")
	_, err = Open(missing, Options{})
	if e := wantError(t, err, missing); !errors.Is(err, fs.ErrNotExist) || strings.Count(e.Error(), missing) != 1 {
		t.Error(err)
	}
	locked := writeFile(t, "a.wav", riff("RIFF", pcm16, s16(1)))
	os.Chmod(locked, 0)
	if os.Getuid() != 0 { // root reads everything
		_, err = Open(locked, Options{})
		if wantError(t, err, locked); !errors.Is(err, fs.ErrPermission) {
			t.Error(err)
		}
	}
	broken := errors.New("device unplugged")
	_, err = Open("-", Options{Stdin: io.MultiReader(bytes.NewReader(nil), errReader{broken})})
	if !errors.Is(err, broken) {
		t.Error(err)
	}
}

type errReader struct{ err error }

func (r errReader) Read([]byte) (int, error) { return 0, r.err }

// What is there comes first, then the error.
func TestCutShort(t *testing.T) {
	flac, err := os.ReadFile("testdata/sox-s16.flac")
	if err != nil {
		t.Fatal(err)
	}
	twoFrames := encodeFLAC(t, 12000, 16, tone(700, 12000, 8192))
	for _, c := range []struct {
		name string
		b    []byte
		n    int
	}{
		{"WAV", riff("RIFF", pcm16, chunk{id: "data", body: []byte{1, 0, 2, 0}, size: 100}), 2},
		{"WAV of 4 GB", riff("RIFF", pcm16, chunk{id: "data", body: []byte{1, 0, 2, 0}, size: 0xF0000000}), 2},
		{"FLAC", twoFrames[:len(twoFrames)-9], 4096},
		{"FLAC at a frame's end", func() []byte { // states 1000 samples, holds 240
			b := bytes.Clone(flac)
			b[4+4+16], b[4+4+17] = 1000>>8, 1000&255
			return b
		}(), 240},
	} {
		for _, path := range []string{writeFile(t, "a", c.b), "-"} {
			src, err := Open(path, Options{Stdin: bytes.NewReader(c.b)})
			if err != nil {
				t.Fatal(c.name, err)
			}
			got, err := readAll(t, src, 100)
			if len(got) != c.n || !errors.Is(err, io.ErrUnexpectedEOF) || errors.Is(err, io.EOF) {
				t.Errorf("%s: %d samples, %v", c.name, len(got), err)
			}
			if path != "-" {
				wantError(t, err, path)
			}
			src.Close()
		}
	}
	// A device that fails after some samples.
	broken := errors.New("device unplugged")
	src, err := Open("-", Options{Stdin: io.MultiReader(bytes.NewReader(riff("RIFF", pcm16, chunk{id: "data", body: make([]byte, 20), size: 100})), errReader{broken})})
	if err != nil {
		t.Fatal(err)
	}
	if got, err := readAll(t, src, 7); len(got) != 10 || !errors.Is(err, broken) {
		t.Error(len(got), err)
	}
}

// Damage in a frame, in its header, in two and in the first: silence of the same length stands for what is lost, and
// what follows is in its place, in a file and in a stream that states no length.
func TestFLACDamage(t *testing.T) {
	x := tone(700, 12000, 6*4096)
	clean := encodeFLAC(t, 12000, 16, x)
	frame := (len(clean) - 42) / 6
	for name, c := range map[string]struct {
		spoil func(b []byte) []byte
		lost  []int // frames
	}{
		"inside":        {func(b []byte) []byte { b[42+2*frame+900] ^= 0x10; return b }, []int{2}},
		"header":        {func(b []byte) []byte { b[bytes.Index(b, append(bytes.Clone(b[42:46]), 3))] = 0; return b }, []int{3}},
		"two":           {func(b []byte) []byte { b[42+2*frame-100], b[42+2*frame+100] = 7, 7; return b }, []int{1, 2}},
		"first":         {func(b []byte) []byte { b[42+100] ^= 1; return b }, []int{0}},
		"apart":         {func(b []byte) []byte { b[42+frame+5] ^= 8; b[42+4*frame+5] ^= 8; return b }, []int{1, 4}},
		"piece missing": {func(b []byte) []byte { return append(b[:42+frame+50], b[42+4*frame-50:]...) }, []int{1, 2, 3}},
	} {
		for _, stated := range []bool{true, false} {
			b := c.spoil(bytes.Clone(clean))
			if !stated {
				if name == "piece missing" {
					continue // nothing vouches for the number of the next frame
				}
				b[21] &= 0xF0 // 36 bits of a length
				copy(b[22:26], make([]byte, 4))
			}
			src, err := Open("-", Options{Stdin: bytes.NewReader(b)})
			if err != nil {
				t.Fatal(name, err)
			}
			got, err := readAll(t, src, 1000)
			if err != nil {
				t.Fatal(name, stated, err)
			}
			want := make([]float32, len(x))
			copy(want, x)
			for _, n := range c.lost {
				clear(want[n*4096:][:4096])
			}
			t.Run(name, func(t *testing.T) { compare(t, got, want, 1.0/(1<<15)) })
			if !strings.Contains(src.Report(), "silence") {
				t.Error(name, src.Report())
			}
		}
	}
	// The last one: the length that the file states tells what is lost, unless the frame ends too soon.
	b := bytes.Clone(clean)
	b[len(b)-1] ^= 1
	src, err := Open("-", Options{Stdin: bytes.NewReader(b)})
	if err != nil {
		t.Fatal(err)
	}
	if got, err := readAll(t, src, 1000); len(got) != 6*4096 || slices.Max(got[5*4096:]) != 0 || err != nil {
		t.Error(len(got), err)
	}
	if src, err = Open("-", Options{Stdin: bytes.NewReader(clean[:len(clean)-9])}); err != nil {
		t.Fatal(err)
	}
	if got, err := readAll(t, src, 1000); len(got) != 5*4096 || !errors.Is(err, io.ErrUnexpectedEOF) {
		t.Error(len(got), err)
	}
	// What follows the last frame is no damage.
	src, err = Open("-", Options{Stdin: bytes.NewReader(append(encodeFLAC(t, 12000, 16, tone(700, 12000, 8192)), "TAGsome title"...))})
	if err != nil {
		t.Fatal(err)
	}
	if got, err := readAll(t, src, 1000); len(got) != 8192 || err != nil {
		t.Error(len(got), err)
	}
}

// A few bytes that claim gigabytes must not allocate them.
func TestLyingSizes(t *testing.T) {
	lie := func(c chunk) chunk { c.size = 0xFFFFFFF0; return c }
	flac, err := os.ReadFile("testdata/sox-s16.flac")
	if err != nil {
		t.Fatal(err)
	}
	for i := 4 + 4; i < 4+4+4; i++ {
		flac[i] = 0xff // block sizes
	}
	flac[25], flac[24] = 0xff, 0xff // length
	ds64 := chunk{id: "ds64", body: bytes.Repeat([]byte{0xff}, 28)}
	for name, b := range map[string][]byte{
		"fmt":  riff("RIFF", lie(pcm16)),
		"bext": riff("RIFF", lie(bext("2031-05-03", "06:00:00", 0))),
		"LIST": riff("RIFF", pcm16, lie(chunk{id: "LIST"})),
		"data": riff("RIFF", pcm16, lie(s16(1, 2))),
		"ds64": riff("RF64", ds64, pcm16, chunk{id: "data", body: []byte{1, 2}, size: 0xFFFFFFFF}),
		"FLAC": flac,
	} {
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		if src, err := Open("-", Options{Stdin: bytes.NewReader(b)}); err == nil {
			readAll(t, src, 100)
		}
		runtime.ReadMemStats(&after)
		if n := after.TotalAlloc - before.TotalAlloc; n > 2<<20 {
			t.Errorf("%s: %d bytes allocated", name, n)
		}
	}
}
