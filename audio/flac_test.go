package audio

import (
	"bytes"
	"io"
	"log"
	"testing"

	"github.com/mewkiz/flac"
	"github.com/mewkiz/flac/frame"
	"github.com/mewkiz/flac/meta"
)

// encodeFLAC makes a mono FLAC in frames of 4096 samples; len(x) is a multiple of that.
func encodeFLAC(t testing.TB, rate uint32, bits uint8, x []float32) []byte {
	t.Helper()
	const block = 4096
	var out bytes.Buffer
	info := &meta.StreamInfo{BlockSizeMin: block, BlockSizeMax: block, SampleRate: rate, NChannels: 1, BitsPerSample: bits, NSamples: uint64(len(x))}
	enc, err := flac.NewEncoder(&out, info)
	if err != nil {
		t.Fatal(err)
	}
	for i := 0; i < len(x); i += block {
		sub := &frame.Subframe{Samples: make([]int32, block), NSamples: block, SubHeader: frame.SubHeader{Pred: frame.PredVerbatim}}
		for j := range sub.Samples {
			sub.Samples[j] = int32(x[i+j] * float32(int(1)<<(bits-1)))
		}
		err := enc.WriteFrame(&frame.Frame{
			Header:    frame.Header{HasFixedBlockSize: true, BlockSize: block, SampleRate: rate, BitsPerSample: bits, Num: uint64(i / block)},
			Subframes: []*frame.Subframe{sub},
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	return out.Bytes()
}

// The library's remark on rare rates stays out of the log; the rest of the log passes.
func TestQuietFLAC(t *testing.T) {
	if src, err := Open("testdata/sox-24k.flac", Options{}); err != nil {
		t.Fatal(err)
	} else {
		src.Close()
	}
	f, ok := log.Writer().(remarkFilter)
	if !ok {
		t.Fatal("no filter")
	}
	var got bytes.Buffer
	l := log.New(remarkFilter{&got}, "", 0)
	l.Print("The flac library test cases do not yet include any audio files with sample rate 24000.")
	l.Print("gale warning")
	if got.String() != "gale warning\n" || f.Writer == io.Discard {
		t.Errorf("%q", got.String())
	}
}

func TestRecover(t *testing.T) {
	hostile := func() (err error) {
		defer recoverAny(&err)
		panic("index out of range")
	}
	if err := hostile(); err == nil {
		t.Error("no error")
	}
}
