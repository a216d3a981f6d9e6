package audio

import (
	"bytes"
	"io"
	"math"
	"os"
	"strings"
	"testing"
	"testing/iotest"
)

// The recordings are made by SoX and SciPy (testdata/make.sh); what they hold is a formula. The tolerance is
// half a step of the encoding, and for SoX, which computes in 32-bit integers and may round to the
// neighbour, a whole one; float32 has 24 bits.
func TestRecordings(t *testing.T) {
	const f32, s24 = 1.0 / (1 << 24), 1.0 / (1 << 23)
	left, right := tone(1000, 12000, 240), tone(500, 12000, 240)
	mix := make([]float32, 240)
	for i := range mix {
		mix[i] = (left[i] + right[i]) / 2
	}
	for _, c := range []struct {
		name, channel string
		rate          float64
		channels      int
		length        int64
		want          []float32
		tol           float64
	}{
		{"sox-u8.wav", "", 12000, 1, 240, left, 1.0 / 128},
		{"sox-s16.wav", "", 12000, 1, 240, left, 1.0 / (1 << 15)},
		{"sox-s24.wav", "left", 12000, 1, 240, left, s24},
		{"sox-s32.wav", "1", 12000, 1, 240, left, f32},
		{"sox-f32.wav", "mix", 12000, 1, 240, left, f32},
		{"sox-f64.wav", "", 12000, 1, 240, left, f32},
		{"sox-stereo.wav", "", 12000, 2, 240, left, 1.0 / (1 << 15)},
		{"sox-stereo.wav", "right", 12000, 2, 240, right, 1.0 / (1 << 15)},
		{"sox-stereo.wav", "mix", 12000, 2, 240, mix, 1.0 / (1 << 15)},
		{"sox-pipe.wav", "", 12000, 1, 240, left, 1.0 / (1 << 15)},
		{"sox-s16.flac", "", 12000, 1, 240, left, 1.0 / (1 << 15)},
		{"sox-s24.flac", "", 12000, 1, 240, left, s24},
		{"sox-24k.flac", "", 24000, 1, 240, tone(1000, 24000, 240), 1.0 / (1 << 15)},
		{"sox-stereo.flac", "left", 12000, 2, 240, left, 1.0 / (1 << 15)},
		{"sox-stereo.flac", "2", 12000, 2, 240, right, 1.0 / (1 << 15)},
		{"sox-stereo.flac", "mix", 12000, 2, 240, mix, 1.0 / (1 << 15)},
		{"sox-pipe.flac", "", 12000, 1, -1, left, 1.0 / (1 << 15)},
		// G.711: the step at half of full scale is 1/32 of it, so the error is up to half of that.
		{"sox-alaw.wav", "", 12000, 1, 240, left, 1.0 / 64},
		{"sox-mulaw.wav", "", 12000, 1, 240, left, 1.0 / 64},
		{"ffmpeg-alaw.wav", "", 12000, 1, 240, left, 1.0 / 64},
		{"ffmpeg-mulaw.wav", "", 12000, 1, 240, left, 1.0 / 64},
		{"ffmpeg-alaw.aifc", "", 12000, 1, 240, left, 1.0 / 64},
		{"ffmpeg-mulaw.aifc", "", 12000, 1, 240, left, 1.0 / 64},
		{"ffmpeg-pipe.wav", "", 12000, 1, 240, left, 1.0 / (1 << 15)},
		{"sox-s16.w64", "", 12000, 1, 240, left, 1.0 / (1 << 15)},
		{"ffmpeg-s16.w64", "", 12000, 1, 240, left, 1.0 / (1 << 15)},
		{"ffmpeg-pipe.w64", "", 12000, 1, 240, left, 1.0 / (1 << 15)},
		{"sox-s8.aiff", "", 12000, 1, 240, left, 1.0 / 128},
		{"sox-s16.aiff", "", 12000, 1, 240, left, 1.0 / (1 << 15)},
		{"sox-s24.aiff", "", 12000, 1, 240, left, s24},
		{"sox-s32.aiff", "", 12000, 1, 240, left, f32},
		{"sox-pipe.aiff", "", 12000, 1, 240, left, 1.0 / (1 << 15)},
		{"sox-stereo.aiff", "mix", 12000, 2, 240, mix, 1.0 / (1 << 15)},
		{"sox-stereo.aifc", "right", 12000, 2, 240, right, f32},
		{"ffmpeg-s16le.aifc", "", 12000, 1, 240, left, 1.0 / (1 << 15)},
		{"ffmpeg-f32.aifc", "", 12000, 1, 240, left, 1.0 / (1 << 15)},
		{"ffmpeg-f64.aifc", "", 12000, 1, 240, left, 1.0 / (1 << 15)},
		{"ffmpeg-pipe.aiff", "", 12000, 1, 240, left, 1.0 / (1 << 15)},
		{"scipy-u8.wav", "", 12000, 1, 240, left, 0.5 / 128},
		{"scipy-s16.wav", "", 12000, 1, 240, left, 0.5 / (1 << 15)},
		{"scipy-s32.wav", "", 12000, 1, 240, left, f32},
		{"scipy-f32.wav", "", 12000, 1, 240, left, f32},
		{"scipy-f64.wav", "", 12000, 1, 240, left, f32},
		{"scipy-stereo-f32.wav", "right", 12000, 2, 240, right, f32},
	} {
		t.Run(c.name+" "+c.channel, func(t *testing.T) {
			path := "testdata/" + c.name
			file, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			for _, block := range []int{1, 7, 479, 4096} {
				// The file itself, a pipe, and a pipe that gives one byte at a time.
				for i, r := range []io.Reader{nil, bytes.NewReader(file), iotest.OneByteReader(bytes.NewReader(file))} {
					o, p := Options{Channel: c.channel, Stdin: r}, path
					if r != nil {
						p = "-"
					}
					src, err := Open(p, o)
					if err != nil {
						t.Fatal(err)
					}
					length := c.length
					if r != nil && strings.Contains(c.name, "-pipe.") { // a file has a length
						length = -1
					}
					if src.SampleRate() != c.rate || src.Channels() != c.channels || src.Length() != length {
						t.Errorf("reader %d: rate %g, channels %d, length %d", i, src.SampleRate(), src.Channels(), src.Length())
					}
					got, err := readAll(t, src, block)
					if err != nil {
						t.Fatal(err)
					}
					compare(t, got, c.want, c.tol)
					if err := src.Close(); err != nil {
						t.Error(err)
					}
				}
			}
		})
	}
}

func TestRaw(t *testing.T) {
	src, err := Open("testdata/sox-s16.raw", Options{Rate: 12000, Encoding: S16})
	if err != nil {
		t.Fatal(err)
	}
	defer src.Close()
	if src.Length() != 240 {
		t.Error(src.Length())
	}
	got, err := readAll(t, src, 100)
	if err != nil {
		t.Fatal(err)
	}
	compare(t, got, tone(1000, 12000, 240), 1.0/(1<<15))

	// Two channels on a pipe that breaks off within a frame; every extreme of each encoding.
	for _, c := range []struct {
		e    Encoding
		b    []byte
		want []float32
	}{
		{U8, []byte{9, 0, 9, 128, 9, 255, 9}, []float32{-1, 0, 127.0 / 128}},
		{S16, []byte{9, 9, 0, 0x80, 9, 9, 0xff, 0x7f, 9, 9, 1}, []float32{-1, 32767.0 / 32768}},
		{S24, []byte{9, 9, 9, 0, 0, 0x80, 9, 9, 9, 1, 0, 0}, []float32{-1, 1.0 / (1 << 23)}},
		{S32, []byte{9, 9, 9, 9, 0, 0, 0, 0x80, 9, 9, 9, 9, 0, 0, 0, 0x40}, []float32{-1, 0.5}},
		{F32, []byte{9, 9, 9, 9, 0, 0, 0x80, 0xbf, 9, 9, 9, 9, 0, 0, 0xc0, 0x7f}, []float32{-1, 0}},                         // -1, NaN
		{F64, []byte{8: 0, 14: 0xf0, 15: 0xbf, 30: 0xf0, 31: 0x7f}, []float32{-1, 0}},                                       // -1, +Inf
		{"F32LE", []byte{9, 9, 9, 9, 0, 0, 0x80, 0xff, 9, 9, 9, 9, 0xff, 0xff, 0x7f, 0x7f}, []float32{0, 0}},                // -Inf, the largest
		{F32, []byte{9, 9, 9, 9, 0, 0, 0x00, 0xc7, 9, 9, 9, 9, 0, 0, 0, 0}, []float32{math.Float32frombits(0xc7000000), 0}}, // -2^15
	} {
		src, err := Open("-", Options{Rate: 8000.5, Encoding: c.e, Channels: 2, Channel: "right", Stdin: bytes.NewReader(c.b)})
		if err != nil {
			t.Errorf("%s: %v", c.e, err)
			continue
		}
		got, err := readAll(t, src, 10)
		if err != nil || src.SampleRate() != 8000.5 {
			t.Error(err, src.SampleRate())
		}
		compare(t, got, c.want, 0)
	}
}

// Chunks built by hand from the layout of RIFF, of WAVE_FORMAT_EXTENSIBLE, and of RF64 (EBU Tech 3306).
func TestWAVByHand(t *testing.T) {
	extra := "\x16\x00\x10\x00\x04\x00\x00\x00\x01\x00" + guidTail
	extensible := chunk{id: "fmt ", body: append(format(0xFFFE, 1, 12000, 16).body, extra...)}
	odd := chunk{id: "LIST", body: []byte("INFO odd!")}
	ds64 := chunk{id: "ds64", body: make([]byte, 28)}
	ds64.body[8] = 4 // two samples
	open := func(size int64, x ...int16) chunk { c := s16(x...); c.size = size; return c }
	for name, b := range map[string][]byte{
		"plain":                 riff("RIFF", pcm16, s16(1, -1)),
		"extensible":            riff("RIFF", extensible, s16(1, -1)),
		"odd chunks first":      riff("RIFF", odd, pcm16, odd, s16(1, -1)),
		"chunks after the data": riff("RIFF", pcm16, s16(1, -1), odd),
		"length 0":              riff("RIFF", pcm16, open(-1, 1, -1)),
		"length open":           riff("RIFF", pcm16, open(0xFFFFFFFF, 1, -1)),
		"length open, 31 bits":  riff("RIFF", pcm16, open(0x7FFFF000, 1, -1)),
		"length open, 32 bits":  riff("RIFF", pcm16, open(0x80000000, 1, -1)),
		"length open, frames":   riff("RIFF", pcm16, open(0x7FFFFFFC, 1, -1)),
		"half a sample more":    riff("RIFF", pcm16, chunk{id: "data", body: []byte{1, 0, 255, 255, 7}}),
		"RF64":                  riff("RF64", ds64, pcm16, open(0xFFFFFFFF, 1, -1), odd),
		"RF64 with own length":  riff("RF64", ds64, pcm16, s16(1, -1), odd),
		"BW64":                  riff("BW64", ds64, pcm16, open(0xFFFFFFFF, 1, -1), odd),
		"12 bits":               riff("RIFF", format(1, 1, 12000, 12), s16(1, -1)),
		"RIFF length open":      append([]byte("RIFF\xff\xff\xff\xff"), riff("RIFF", pcm16, s16(1, -1))[8:]...),
	} {
		for _, path := range []string{writeFile(t, "a.wav", b), "-"} {
			src, err := Open(path, Options{Stdin: bytes.NewReader(b)})
			if err != nil {
				t.Errorf("%s: %v", name, err)
				continue
			}
			got, err := readAll(t, src, 16)
			if err != nil {
				t.Errorf("%s: %v", name, err)
			}
			if len(got) != 2 || got[0] != 1.0/32768 || got[1] != -1.0/32768 {
				t.Errorf("%s: %v", name, got)
			}
			src.Close()
		}
	}
}

// A live pipe delivers what is there; it does not wait for a whole block.
func TestLive(t *testing.T) {
	r, w := io.Pipe()
	go func() {
		w.Write(riff("RIFF", pcm16, chunk{id: "data", size: 0xFFFFFFFF}))
		w.Write([]byte{0, 0x40, 0, 0xC0})
	}()
	src, err := Open("-", Options{Stdin: r})
	if err != nil {
		t.Fatal(err)
	}
	buf := make([]float32, 1000)
	if n, err := src.ReadSamples(buf); n != 2 || err != nil || buf[0] != 0.5 || buf[1] != -0.5 {
		t.Error(n, err, buf[:2])
	}
	go w.Close()
	if n, err := src.ReadSamples(buf); n != 0 || err != io.EOF {
		t.Error(n, err)
	}
}

func TestNoAllocationOnceWarm(t *testing.T) {
	b := bytes.NewReader(riff("RIFF", format(1, 2, 48000, 16), s16(make([]int16, 1<<20)...)))
	src, err := Open("-", Options{Channel: "mix", Stdin: b})
	if err != nil {
		t.Fatal(err)
	}
	buf := make([]float32, 1024)
	if n := testing.AllocsPerRun(100, func() { src.ReadSamples(buf) }); n != 0 {
		t.Errorf("%g allocations a block", n)
	}
}
