package draw

import (
	"bytes"
	"encoding/binary"
	"errors"
	"io"
	"math/rand/v2"
	"testing"
)

func storedVideo(tb testing.TB, n int) (*Video, []byte) {
	v := new(Video)
	rng := rand.New(rand.NewPCG(1, 2))
	for range n {
		v.Append([]complex64{complex(float32(rng.NormFloat64()), float32(rng.NormFloat64()))})
	}
	var b bytes.Buffer
	if k, err := v.WriteTo(&b); err != nil || k != int64(b.Len()) {
		tb.Fatal(k, err)
	}
	return v, b.Bytes()
}

func TestVideoStored(t *testing.T) {
	for _, n := range []int{0, 1, videoBlock, pageLength + 3*videoBlock + 17} {
		v, b := storedVideo(t, n)
		if want := 8 + (n+videoBlock-1)/videoBlock*4 + 2*n; len(b) != want {
			t.Errorf("%d samples take %d bytes, want %d", n, len(b), want)
		}
		w, err := ReadVideo(io.MultiReader(bytes.NewReader(b), bytes.NewReader([]byte("more"))))
		if err != nil || w.First() != 0 || w.End() != int64(n) {
			t.Fatalf("%d samples come back as %d to %d: %v", n, w.First(), w.End(), err)
		}
		x, y := make([]complex64, n), make([]complex64, n)
		v.Read(x, 0)
		w.Read(y, 0)
		for i := range x {
			// A step is 1/127 of the block's peak, which is about 4 here; only the tail is rounded anew.
			if d := x[i] - y[i]; abs32(real(d)) > 0.03 || abs32(imag(d)) > 0.03 || i < n/videoBlock*videoBlock && abs32(real(d)) > 1e-5 {
				t.Fatalf("sample %d of %d: %v becomes %v", i, n, x[i], y[i])
			}
		}
	}
}

func TestVideoStoredCutOrLying(t *testing.T) {
	_, b := storedVideo(t, 1000)
	v, err := ReadVideo(bytes.NewReader(b[:len(b)-1]))
	if !errors.Is(err, io.ErrUnexpectedEOF) || v.End() != 3*videoBlock {
		t.Errorf("cut: %d samples, %v", v.End(), err)
	}
	lie := binary.LittleEndian.AppendUint64(nil, 1<<62)
	if _, err := ReadVideo(bytes.NewReader(lie)); err == nil {
		t.Error("2^62 samples are taken")
	}
	lie = binary.LittleEndian.AppendUint64(nil, uint64(maxStoredVideo))
	if n := testing.AllocsPerRun(5, func() { ReadVideo(bytes.NewReader(lie)) }); n > 8 {
		t.Errorf("a claim alone makes %v allocations", n)
	}
}

func FuzzReadVideo(f *testing.F) {
	_, b := storedVideo(f, 300)
	f.Add(b)
	f.Add(b[:100])
	f.Fuzz(func(t *testing.T, b []byte) {
		v, err := ReadVideo(bytes.NewReader(b))
		if v.End() > int64(len(b)) {
			t.Fatalf("%d samples from %d bytes", v.End(), len(b))
		}
		var w bytes.Buffer
		if _, e := v.WriteTo(&w); e != nil || err == nil && w.Len() > len(b) {
			t.Fatal("does not come out again", e)
		}
	})
}
