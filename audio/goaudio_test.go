package audio

import (
	"bytes"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"testing"

	goaudio "github.com/go-audio/audio"
	"github.com/go-audio/wav"
)

// What go-audio/wav writes, this package reads.
func TestReadsGoAudio(t *testing.T) {
	for _, bits := range []int{8, 16, 24, 32} {
		path := filepath.Join(t.TempDir(), "a.wav")
		f, err := os.Create(path)
		if err != nil {
			t.Fatal(err)
		}
		enc := wav.NewEncoder(f, 12000, bits, 2, 1)
		want, buf := make([]float32, 1000), &goaudio.IntBuffer{Format: &goaudio.Format{NumChannels: 2, SampleRate: 12000}}
		full := 1 << (bits - 1)
		for i := range want {
			v := (i - 500) * full / 500
			want[i] = float32(v) / float32(full)
			if bits == 8 {
				v += 128
			}
			buf.Data = append(buf.Data, 0, v)
		}
		if err := enc.Write(buf); err != nil {
			t.Fatal(err)
		}
		if err := enc.Close(); err != nil {
			t.Fatal(err)
		}
		f.Close()
		src, err := Open(path, Options{Channel: "right"})
		if err != nil {
			t.Fatal(err)
		}
		got, err := readAll(t, src, 33)
		if err != nil || src.Length() != 1000 {
			t.Fatal(err, src.Length())
		}
		compare(t, got, want, 0)
		src.Close()
	}
}

// What this package writes, go-audio/wav reads.
func TestGoAudioReads(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.wav")
	w, err := CreateWAV(path, 12000, S16)
	if err != nil {
		t.Fatal(err)
	}
	x := tone(700, 12000, 5000)
	w.WriteSamples(x)
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	d := wav.NewDecoder(f)
	buf, err := d.FullPCMBuffer()
	if err != nil || d.SampleRate != 12000 || d.NumChans != 1 || d.BitDepth != 16 || len(buf.Data) != len(x) {
		t.Fatal(err, d.SampleRate, d.NumChans, d.BitDepth)
	}
	for i, v := range buf.Data {
		if v != int(toS16(x[i])) {
			t.Fatalf("sample %d is %d, want %d", i, v, toS16(x[i]))
		}
	}
}

// The reasons for the reader of this package (see doc.go), so that it is noticed when they cease. Each case
// is read correctly here, as TestWAVByHand, TestRecordings and TestLyingSizes show.
func TestGoAudioReasons(t *testing.T) {
	decode := func(b []byte) ([]int, error) {
		buf, err := wav.NewDecoder(bytes.NewReader(b)).FullPCMBuffer()
		if err != nil || buf == nil {
			return nil, err
		}
		return buf.Data, nil
	}
	if got, err := decode(riff("RIFF", pcm16, s16(1, -1))); err != nil || len(got) != 2 {
		t.Error("it fails where it should not:", got, err)
	}
	ds64 := chunk{id: "ds64", body: make([]byte, 28)}
	ds64.body[8] = 4
	if got, _ := decode(riff("RF64", ds64, pcm16, chunk{id: "data", body: []byte{1, 0, 2, 0}, size: 0xFFFFFFFF})); len(got) == 2 {
		t.Error("it reads RF64")
	}
	if got, _ := decode(riff("RIFF", pcm16, chunk{id: "data", body: []byte{1, 0, 2, 0}, size: -1})); len(got) == 2 {
		t.Error("it reads on if the length is 0")
	}
	one := []byte{0, 0, 0x80, 0x3f} // 1.0
	if got, err := decode(riff("RIFF", format(3, 1, 12000, 32), chunk{id: "data", body: one})); err != nil || len(got) != 1 || got[0] != 0x3f800000 {
		t.Error("it does not take floats for integers:", got, err)
	}
	lie := pcm16
	lie.size = 64 << 20
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	decode(riff("RIFF", lie))
	runtime.ReadMemStats(&after)
	if n := after.TotalAlloc - before.TotalAlloc; n < 60<<20 {
		t.Errorf("it allocates only %d bytes of 64 MiB claimed by 36 bytes", n)
	}
}

// BenchmarkGoAudio is the counterpart of BenchmarkWAV: the same bytes in blocks of the same length, to
// integers instead of float32.
func BenchmarkGoAudio(b *testing.B) {
	for _, c := range benchWAVs {
		b.Run(c.name, func(b *testing.B) {
			file := c.file()
			buf := &goaudio.IntBuffer{Data: make([]int, benchBlock)}
			b.ReportAllocs()
			for b.Loop() {
				d, total := wav.NewDecoder(bytes.NewReader(file)), 0
				for {
					n, err := d.PCMBuffer(buf)
					if err != nil && err != io.EOF {
						b.Fatal(err)
					}
					if total += n; n == 0 {
						break
					}
				}
				if total != benchSeconds*c.rate*c.channels {
					b.Fatal(total)
				}
			}
			realtime(b)
		})
	}
}
