package audio

import (
	"bytes"
	"encoding/binary"
	"io"
	"math/cmplx"
	"os"
	"slices"
	"strings"
	"testing"

	"ionoscribe/demod"
)

// readAllIQ reads src to its end in blocks of the given length.
func readAllIQ(t testing.TB, src *IQSource, block int) []complex64 {
	t.Helper()
	buf, out := make([]complex64, block), []complex64(nil)
	for range 1 << 22 {
		n, err := src.ReadIQ(buf)
		out = append(out, buf[:n]...)
		if err == io.EOF {
			return out
		}
		if err != nil {
			t.Fatal(err)
		}
		if n == 0 {
			t.Fatal("no samples and no error")
		}
	}
	t.Fatal("endless")
	return nil
}

// The stereo recordings hold two sines of 0.5 at 1000 Hz (left) and 500 Hz (right): see testdata/make.sh.
func TestOpenIQ(t *testing.T) {
	l, r := tone(1000, 12000, 240), tone(500, 12000, 240)
	for _, name := range []string{"sox-stereo.wav", "sox-stereo.flac", "scipy-stereo-f32.wav"} {
		for _, form := range []string{"", IQNormal, IQSwapped, IQMirrored} {
			want := make([]complex64, len(l))
			for i := range want {
				want[i] = complex(l[i], r[i])
				if form == IQSwapped || form == IQMirrored {
					want[i] = complex(l[i], -r[i])
				}
			}
			dc := demod.NewDCBlock(12000, dcSeconds)
			dc.Filter(want, want)
			for _, block := range []int{1000, 7, 1} {
				src, err := OpenIQ("testdata/"+name, Options{IQ: form})
				if err != nil {
					t.Fatal(err)
				}
				if src.SampleRate() != 12000 || src.Length() != 240 || src.StartFrom() != FromFile || src.Start().IsZero() {
					t.Errorf("%s: %g Hz, %d samples, start %s", name, src.SampleRate(), src.Length(), src.StartFrom())
				}
				got := readAllIQ(t, src, block)
				src.Close()
				if len(got) != len(want) {
					t.Fatalf("%s: %d samples", name, len(got))
				}
				for i, z := range got {
					if cmplx.Abs(complex128(z-want[i])) > 1.5/(1<<15) {
						t.Fatalf("%s, %q: sample %d is %v, want %v", name, form, i, z, want[i])
					}
				}
			}
		}
	}
}

// What is written as I and Q comes back; raw samples from a pipe have two channels without being told.
func TestIQThroughWAVAndRaw(t *testing.T) {
	var z []complex64
	var raw []byte
	for i := range 5000 {
		a, b := int16(i*7919), int16(i*104729)
		z = append(z, complex(float32(a)/(1<<15), float32(b)/(1<<15)))
		raw = binary.LittleEndian.AppendUint16(binary.LittleEndian.AppendUint16(raw, uint16(a)), uint16(b))
	}
	want := make([]complex64, len(z))
	dc := demod.NewDCBlock(48000, dcSeconds)
	dc.Filter(want, z)
	path := t.TempDir() + "/iq.wav"
	w, err := CreateIQWAV(path, 48000, S16)
	if err != nil {
		t.Fatal(err)
	}
	w.WriteIQ(z[:1234])
	w.WriteIQ(z[1234:])
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	file, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	var piped bytes.Buffer
	if w, err = NewIQWAVWriter(&piped, 48000, F32); err != nil {
		t.Fatal(err)
	}
	w.WriteIQ(z)
	w.Close()
	for name, c := range map[string]struct {
		b []byte
		o Options
	}{
		"file": {file, Options{}}, "float pipe": {piped.Bytes(), Options{}},
		"raw": {raw, Options{Rate: 48000, Encoding: S16, Channels: 1}}, "raw, two channels": {raw, Options{Rate: 48000, Encoding: S16, Channels: 2}},
	} {
		c.o.Stdin = bytes.NewReader(c.b)
		src, err := OpenIQ("-", c.o)
		if err != nil {
			t.Fatal(err)
		}
		if got := readAllIQ(t, src, 999); !slices.Equal(got, want) {
			t.Errorf("%s: samples differ", name)
		}
	}
}

func TestOpenIQErrors(t *testing.T) {
	mono, stereo := riff("RIFF", pcm16, s16(1, 2)), riff("RIFF", format(1, 2, 12000, 16), s16(1, 2))
	for _, c := range []struct {
		b    []byte
		o    Options
		want string
	}{
		{mono, Options{}, "1 channels"},
		{riff("RIFF", format(1, 3, 12000, 16), s16(1, 2, 3)), Options{}, "3 channels"},
		{stereo, Options{IQ: "upside-down"}, "unknown form"},
		{stereo, Options{Channel: "mix"}, "leave out --channel"},
		{[]byte("1234567"), Options{Rate: 12000, Encoding: S16, Channels: 4}, "4 channels"},
	} {
		c.o.Stdin = bytes.NewReader(c.b)
		if _, err := OpenIQ("-", c.o); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%v, want %q", err, c.want)
		} else {
			wantError(t, err, "standard input")
		}
	}
	// Options of a list of sources may hold what Open does not use.
	if _, err := Open("-", Options{IQ: "normal", Stdin: bytes.NewReader(mono)}); err != nil {
		t.Error(err)
	}
}

func FuzzIQ(f *testing.F) {
	addFiles(f, "*stereo*")
	f.Fuzz(func(t *testing.T, b []byte) {
		var first []complex64
		for i, block := range []int{4096, 3} {
			src, err := OpenIQ("-", Options{Stdin: bytes.NewReader(b)})
			var got []complex64
			buf := make([]complex64, block)
			for err == nil {
				var n int
				n, err = src.ReadIQ(buf)
				got = append(got, buf[:n]...)
			}
			if i > 0 && !slices.Equal(first, got) {
				t.Fatalf("%d samples in small blocks, %d in large ones", len(got), len(first))
			}
			first = got
		}
	})
}
