package audio

import (
	"encoding/binary"
	"errors"
	"io"
	"math"
	"os"
	"path/filepath"
	"testing"
)

// readAll reads src to its end in blocks of the given length.
func readAll(t testing.TB, src *Source, block int) ([]float32, error) {
	t.Helper()
	buf, out := make([]float32, block), []float32(nil)
	for range 1 << 22 {
		n, err := src.ReadSamples(buf)
		out = append(out, buf[:n]...)
		if err != nil {
			if m, again := src.ReadSamples(buf); m != 0 || again != err {
				t.Fatalf("after the end: %d samples, %v", m, again)
			}
			if err == io.EOF {
				err = nil
			}
			return out, err
		}
		if n == 0 {
			t.Fatal("no samples and no error")
		}
	}
	t.Fatal("endless")
	return nil, nil
}

// tone is what testdata/make.sh computes: n samples of 0.5 sin(2 pi f t) at the given rate.
func tone(f, rate float64, n int) []float32 {
	x := make([]float32, n)
	for i := range x {
		x[i] = float32(0.5 * math.Sin(2*math.Pi*f*float64(i)/rate))
	}
	return x
}

func compare(t *testing.T, got, want []float32, tol float64) {
	t.Helper()
	if len(got) != len(want) {
		t.Fatalf("%d samples, want %d", len(got), len(want))
	}
	for i := range got {
		if d := math.Abs(float64(got[i] - want[i])); !(d <= tol) {
			t.Fatalf("sample %d is %g, want %g +- %g", i, got[i], want[i], tol)
		}
	}
}

// A chunk of a WAV that is built by hand: size is what it claims, if it is not len(body).
type chunk struct {
	id   string
	body []byte
	size int64 // 0: the true one; -1: 0
}

// riff builds a WAV from the published layout (see wav.go), independently of WAVWriter.
func riff(magic string, chunks ...chunk) []byte {
	b := []byte("WAVE")
	for _, c := range chunks {
		size := uint32(len(c.body))
		if c.size != 0 {
			size = uint32(max(c.size, 0))
		}
		b = binary.LittleEndian.AppendUint32(append(b, c.id...), size)
		b = append(b, c.body...)
		if len(c.body)&1 == 1 {
			b = append(b, 0)
		}
	}
	return append(binary.LittleEndian.AppendUint32([]byte(magic), uint32(len(b))), b...)
}

func format(tag, channels, rate, bits int) chunk {
	le := binary.LittleEndian
	b := le.AppendUint16(nil, uint16(tag))
	b = le.AppendUint16(b, uint16(channels))
	b = le.AppendUint32(b, uint32(rate))
	frame := channels * ((bits + 7) / 8)
	b = le.AppendUint32(b, uint32(rate*frame))
	b = le.AppendUint16(b, uint16(frame))
	return chunk{id: "fmt ", body: le.AppendUint16(b, uint16(bits))}
}

var pcm16 = format(1, 1, 12000, 16)

// s16 is a data chunk of 16-bit samples.
func s16(x ...int16) chunk {
	var b []byte
	for _, v := range x {
		b = binary.LittleEndian.AppendUint16(b, uint16(v))
	}
	return chunk{id: "data", body: b}
}

func writeFile(t testing.TB, name string, b []byte) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), name)
	if err := os.WriteFile(path, b, 0o666); err != nil {
		t.Fatal(err)
	}
	return path
}

// wantError checks that err is an *Error of one line that names the path.
func wantError(t *testing.T, err error, path string) *Error {
	t.Helper()
	var e *Error
	if !errors.As(err, &e) {
		t.Fatalf("%v is no *Error", err)
	}
	if e.Path != path || e.Mend == "" {
		t.Errorf("path %q, mend %q", e.Path, e.Mend)
	}
	return e
}
