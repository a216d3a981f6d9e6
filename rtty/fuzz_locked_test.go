package rtty

import (
	"encoding/binary"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"ionoscribe/demod/fsk"
)

// locked is a decoder that receives reversals of letters, as it was once; every input begins there anew. The copy takes
// a hundredth of the time of a signal that is found.
type locked struct {
	d      Decoder
	front  fsk.Front
	search search
	line   channel
	trial  trellis

	text strings.Builder
}

func newLocked(tb testing.TB) *locked {
	d, err := New(Config{SampleRate: 6000, Baud: 100, CentreHz: 1500, ShiftHz: 450, Polarity: MarkLower}, Events{})
	if err != nil {
		tb.Fatal(err)
	}
	// Letters A to Z with stop elements of 1.5, in half elements, as frequencies around the centre.
	var halves []float64
	for n := range 60 {
		code := Code(n*7%32) | 1
		for i := range 15 {
			sign := -1.0
			if i < 2 || i < 12 && code>>(i/2-1)&1 == 0 {
				sign = 1
			}
			halves = append(halves, sign)
		}
	}
	phase := 0.0
	for n := range int(float64(len(halves)) * fsk.WideRate / 200) {
		at := halves[n*200/fsk.WideRate]
		phase += 2 * math.Pi * (1500 + 225*at - fsk.WideCentreHz) / fsk.WideRate
		s, c := math.Sincos(phase)
		d.front.WriteWide(complex64(complex(0.1*c, 0.1*s)))
		if d.front.Take() {
			d.step()
		}
	}
	if !d.receiving {
		tb.Fatal("the signal is not found")
	}
	d.text.pending, d.held = slices.Clone(d.text.pending), slices.Clone(d.held)
	return &locked{d: *d, front: *d.front, search: *d.search, line: *d.line, trial: *d.line.trellis[0]}
}

// hear gives wide samples to the decoder, cut in two, and says what it printed and what state it is in.
func (l *locked) hear(x []complex64, cut int) string {
	d := l.d
	*d.front, *d.search, *d.line, *d.line.trellis[0] = l.front, l.search, l.line, l.trial
	d.text.pending = append(make([]received, 0, doubtfulFrames+2), d.text.pending...)
	d.held = append(make([]received, 0, mostHeld), d.held...)
	l.text.Reset()
	d.events.Char = func(c Char) { fmt.Fprintln(&l.text, c) }
	d.events.State = func(s State) { fmt.Fprintln(&l.text, s) }
	for _, part := range [][]complex64{x[:cut], x[cut:]} {
		d.front.WriteWide(part...)
		for d.front.Take() {
			d.step()
		}
	}
	fmt.Fprintln(&l.text, d.done, d.standing, d.line.Hz(), d.line.trellis[0].decided)
	return l.text.String()
}

// Any wide samples, finite as the baseband makes them, after a signal: nothing depends on how they come.
func FuzzLocked(f *testing.F) {
	l := newLocked(f)
	f.Add([]byte{0, 0, 1, 0, 255, 127, 0, 128}, uint16(3))
	f.Add(make([]byte, 4*fsk.BlockLength), uint16(7))
	f.Fuzz(func(t *testing.T, b []byte, cut uint16) {
		x := make([]complex64, min(len(b)/4, fsk.BlockLength))
		for i := range x {
			// Sixteen bits for each part: levels from nothing to far too much.
			part := func(b []byte) float32 {
				v := float64(int16(binary.LittleEndian.Uint16(b))) / 1024
				return float32(math.Copysign(math.Expm1(math.Abs(v)), v))
			}
			x[i] = complex(part(b[4*i:]), part(b[4*i+2:]))
		}
		if whole, parts := l.hear(x, len(x)), l.hear(x, int(cut)%(len(x)+1)); whole != parts {
			t.Errorf("whole %q, cut %q", whole, parts)
		}
	})
}

func BenchmarkLocked(b *testing.B) {
	l := newLocked(b)
	x := make([]complex64, fsk.BlockLength)
	for b.Loop() {
		l.hear(x, 100)
	}
}
