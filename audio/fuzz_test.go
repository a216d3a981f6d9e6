package audio

import (
	"bytes"
	"encoding/binary"
	"errors"
	"io"
	"math"
	"os"
	"path/filepath"
	"slices"
	"testing"
)

// fuzzRead opens b in two ways and reads it in blocks of two lengths: no panic, finite samples only, one kind
// of error, no more samples than perByte allows, and the same result each time.
func fuzzRead(t *testing.T, b []byte, o Options, perByte int) {
	var first []float32
	var firstErr string
	for i, block := range []int{4096, 13} {
		o.Stdin = bytes.NewReader(b)
		src, err := Open("-", o)
		var got []float32
		if err == nil {
			if src.SampleRate() < MinRate || src.SampleRate() > MaxRate || src.Channels() > MaxChannels {
				t.Fatalf("rate %g, %d channels", src.SampleRate(), src.Channels())
			}
			got, err = readSome(t, src, block)
		}
		var e *Error
		if err != nil && !errors.As(err, &e) {
			t.Fatalf("%v is no *Error", err)
		}
		text := ""
		if err != nil {
			text = err.Error()
		}
		if len(got) > perByte*len(b) {
			t.Fatalf("%d samples of %d bytes", len(got), len(b))
		}
		for _, v := range got {
			if math.IsNaN(float64(v)) || math.IsInf(float64(v), 0) {
				t.Fatal("not finite")
			}
		}
		if i == 0 {
			first, firstErr = got, text
		} else if !slices.Equal(first, got) || firstErr != text {
			t.Fatalf("block %d: %d samples, %q; first %d, %q", block, len(got), text, len(first), firstErr)
		}
	}
}

// readSome is readAll, but stops after some millions of samples: a recording may state a gap of hours.
func readSome(t *testing.T, src *Source, block int) (out []float32, err error) {
	buf := make([]float32, block)
	for len(out) < 1<<22 {
		n, err := src.ReadSamples(buf[:min(block, 1<<22-len(out))])
		if out = append(out, buf[:n]...); err == io.EOF {
			return out, nil
		} else if err != nil {
			return out, err
		}
		if n == 0 {
			t.Fatal("no samples and no error")
		}
	}
	return out, nil
}

func addFiles(f *testing.F, pattern string) {
	files, err := filepath.Glob("testdata/" + pattern)
	if err != nil || len(files) == 0 {
		f.Fatal("no seeds: ", err)
	}
	for _, name := range files {
		b, err := os.ReadFile(name)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(b)
	}
}

func FuzzWAV(f *testing.F) {
	addFiles(f, "*.wav")
	f.Add(riff("RIFF", bext("2031-05-03", "06:00:00", 259_203_000), pcm16, s16(1, 2, 3)))
	f.Add(riff("RF64", chunk{id: "ds64", body: make([]byte, 28)}, pcm16, chunk{id: "data", body: []byte{1, 2}, size: 0xFFFFFFFF}))
	f.Fuzz(func(t *testing.T, b []byte) {
		fuzzRead(t, b, Options{}, 1)
		fuzzRead(t, b, Options{Channel: "mix"}, 1)
	})
}

func FuzzW64(f *testing.F) {
	addFiles(f, "*.w64")
	f.Fuzz(func(t *testing.T, b []byte) { fuzzRead(t, b, Options{}, 1) })
}

func FuzzAIFF(f *testing.F) {
	addFiles(f, "*.aif[fc]")
	f.Fuzz(func(t *testing.T, b []byte) { fuzzRead(t, b, Options{Channel: "mix"}, 1) })
}

func FuzzFLAC(f *testing.F) {
	addFiles(f, "*.flac")
	f.Fuzz(func(t *testing.T, b []byte) {
		// A frame of 65535 equal samples takes about 10 bytes (RFC 9639 section 9.2.3).
		fuzzRead(t, b, Options{}, 65535)
	})
}

// FuzzOgg makes the checksums right, or none of what is changed would pass.
func FuzzOgg(f *testing.F) {
	addFiles(f, "*.o[gp]*")
	addFiles(f, "*.oga")
	f.Fuzz(func(t *testing.T, b []byte) {
		b = bytes.Clone(b)
		for i := 0; i+oggHeader <= len(b); i++ {
			if size := oggSize(b[i:]); size > 0 && size <= len(b)-i {
				binary.LittleEndian.PutUint32(b[i+22:], oggChecksum(b[i:i+size]))
			}
		}
		fuzzRead(t, b, Options{}, math.MaxInt32)
	})
}

// oggSize is the size of a page, or 0.
func oggSize(b []byte) int {
	n := oggHeader + int(b[26])
	if !bytes.HasPrefix(b, []byte("OggS")) || len(b) < n {
		return 0
	}
	for _, size := range b[oggHeader:n] {
		n += int(size)
	}
	return n
}

func FuzzMP3(f *testing.F) {
	addFiles(f, "*.mp3")
	f.Fuzz(func(t *testing.T, b []byte) {
		// A frame of 24 bytes stands for 576 samples, and silence for as many.
		fuzzRead(t, b, Options{}, 576)
	})
}

func FuzzRaw(f *testing.F) {
	addFiles(f, "*.raw")
	names := []Encoding{U8, S16, S24, S32, F32, F64}
	f.Fuzz(func(t *testing.T, b []byte) {
		for i, e := range names {
			fuzzRead(t, b, Options{Rate: 12000, Encoding: e, Channels: 1 + i/2, Channel: "mix"}, 1)
		}
	})
}
