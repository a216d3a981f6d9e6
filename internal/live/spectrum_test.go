package live

import (
	"encoding/binary"
	"math"
	"math/rand/v2"
	"testing"
	"testing/synctest"
	"time"

	"ionoscribe/internal/live/livetest"
	"ionoscribe/internal/station"
)

// rowsOf are all rows of a block, which need not wait for the clock.
func rowsOf(t tuning, b station.Block) (all [][]float64) {
	s := newSpectrum(t)
	s.tokens = math.Inf(1)
	s.add(b, func(_ uint32, _ int, power []float64) { all = append(all, append([]float64{}, power...)) })
	return all
}

// hzOf is the middle of a bin, as the page has it from the edges of the spectrum.
func (l *layout) hzOf(bin int) float64 {
	return l.lowHz + (float64(bin)+0.5)*(l.highHz-l.lowHz)/float64(l.bins)
}

// A sine is in the bin where it is on the air, with its level; a Hann window puts a quarter of its power into each bin beside it, and
// nothing that shows anywhere else.
func TestSine(t *testing.T) {
	for _, c := range []tuning{
		{rate: 6000}, {rate: 8000}, {rate: 11025, dialHz: 5e6}, {rate: 12000, dialHz: 5e6, lower: true}, {rate: 44100}, {rate: 48000, dialHz: 5e6, lower: true},
		{rate: 192000}, {rate: 8000, iq: true}, {rate: 96000, iq: true, dialHz: 5e6}, {rate: 5e5, iq: true, dialHz: 5e6},
	} {
		l := layoutOf(c)
		if l.bins > mostBins || l.bins < mostBins/3 || l.lowHz >= l.highHz {
			t.Errorf("%+v: %+v", c, l)
		}
		for _, bin := range []int{l.bins / 7, l.bins / 2, l.bins - 9} {
			const amplitude = 0.1 // -20 dB
			hz := l.hzOf(bin) - c.dialHz
			b := bandTone(c.rate, hz, amplitude)
			if !c.iq {
				b = audioTone(c.rate, math.Abs(hz), amplitude)
			}
			rows := rowsOf(c, b)
			if len(rows) < 12 || len(rows) > 15 {
				t.Errorf("%+v: %d rows in 1.5 s", c, len(rows))
			}
			for k, p := range rows[len(rows)-1] {
				got, want := 10*math.Log10(p), -200.0
				switch k - bin {
				case 0:
					want = -20
				case -1, 1:
					want = -20 - 20*math.Log10(2)
				}
				if want > -200 && math.Abs(got-want) > 0.1 || got > max(want+0.1, -90) {
					t.Errorf("%+v: %.1f dB in bin %d of a sine in bin %d", c, got, k, bin)
				}
			}
		}
	}
}

// Noise of a density has that times the bandwidth of a Hann window, 1.5 bins, in each bin.
func TestNoise(t *testing.T) {
	for _, c := range []tuning{{rate: 12000}, {rate: 96000, iq: true}, {rate: 3e5, iq: true}} {
		random := rand.New(rand.NewPCG(1, 2))
		const deviation = 0.01
		var b station.Block
		for range int(2 * c.rate) {
			if c.iq {
				b.IQ = append(b.IQ, complex(float32(deviation*random.NormFloat64()), float32(deviation*random.NormFloat64())))
			} else {
				b.Audio = append(b.Audio, float32(deviation*random.NormFloat64()))
			}
		}
		l := layoutOf(c)
		binHz := c.rate / float64(l.length)
		// Of complex samples the power is 2·deviation² in rate Hz, and that of a full-scale sine 1; of audio deviation² in half of it,
		// and 1/2.
		want := 1.5 * binHz * 2 * deviation * deviation / c.rate
		if !c.iq {
			want = 1.5 * binHz * deviation * deviation / (c.rate / 2) / 0.5
		}
		rows := rowsOf(c, b)
		sum, n := 0.0, 0
		for _, row := range rows {
			for _, p := range row[2 : len(row)-2] {
				sum += p
				n++
			}
		}
		if got := 10 * math.Log10(sum/float64(n)/want); math.Abs(got) > 0.2 {
			t.Errorf("%+v: the noise is %.2f dB from what it should be", c, got)
		}
	}
}

// Blocks of any length make the same rows; what is no number is silence.
func TestRowsOfPieces(t *testing.T) {
	c := tuning{rate: 11025}
	b := audioTone(c.rate, 1000, 0.5)
	b.Audio[5000] = float32(math.Inf(1))
	want := rowsOf(c, b)
	s := newSpectrum(c)
	s.tokens = math.Inf(1)
	row := 0
	for at, n := 0, 1; at < b.Len(); n = (n*7 + 3) % 5000 {
		end := min(at+n, b.Len())
		s.add(station.Block{Audio: b.Audio[at:end]}, func(_ uint32, _ int, power []float64) {
			for k, p := range power {
				if p != want[row][k] {
					t.Fatalf("row %d: %g in bin %d, want %g", row, p, k, want[row][k])
				}
			}
			row++
		})
		at = end
	}
	if row != len(want) {
		t.Errorf("%d rows, want %d", row, len(want))
	}
}

// Rows are told to those who want them, with their number, receiver and time; ten a second of the clock at most, even if the samples
// come twenty times as fast.
func TestRows(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s, h := newHub()
		in := &station.Input{SampleRate: 12000, Time: func(i int64) time.Time { return livetest.Begin.Add(time.Duration(i) * time.Second / 12000) }}
		s.SetStatus(station.Status{Name: "north"}, station.Status{Name: "south"})
		c, other := h.Join(0), h.Join(0)
		first(t, c)
		s.Samples("north", in, 0, audioTone(12000, 1500, 1))
		if m, ok, _ := c.take(); ok {
			t.Errorf("%d bytes that nobody wants", len(m.Data))
		}
		c.Want(Want{Spectrum: []string{"south"}})
		other.Want(Want{Spectrum: []string{"nowhere"}})
		block := audioTone(12000, 1500, 1)
		block.Audio = block.Audio[:6000]
		const seconds, fast = 30, 20
		rows := 0
		var last uint32
		for i := range seconds * fast * 2 {
			s.Samples("north", in, int64(6000*i), block)
			s.Samples("south", in, int64(6000*i), block)
			time.Sleep(time.Second / 2 / fast)
			for {
				m, ok, err := c.take()
				must(t, err)
				if !ok {
					break
				}
				le := binary.LittleEndian
				number, ms := le.Uint32(m.Data[4:]), math.Float64frombits(le.Uint64(m.Data[8:]))
				bins := int(le.Uint16(m.Data[2:]))
				if m.Data[0] != rowOfSpectrum || m.Data[1] != 1 || bins != layoutOf(tuningOf(in)).bins || len(m.Data) != headBytes+bins {
					t.Fatalf("% x", m.Data[:headBytes])
				}
				if want := float64(livetest.Begin.UnixMilli()) + 100*float64(number+1); ms != want || rows > 0 && number <= last {
					t.Fatalf("row %d after %d is of %.0f, want %.0f", number, last, ms, want)
				}
				// 1500 Hz are in the middle of a bin; 0 dB are 280 steps, which a byte has not.
				if bin := 256; m.Data[headBytes+bin] != 255 || m.Data[headBytes+bin+3] > 120 {
					t.Fatalf("%d in its bin, %d beside it", m.Data[headBytes+bin], m.Data[headBytes+bin+3])
				}
				last = number
				rows++
			}
		}
		if most := 10*seconds + mostRows; rows > most || rows < 10*seconds*9/10 {
			t.Errorf("%d rows in %d s", rows, seconds)
		}
		if m, ok, _ := other.take(); !ok || m.Text == nil {
			t.Errorf("%d bytes that nobody wants", len(m.Data))
		}
		if _, ok, _ := other.take(); ok {
			t.Error("rows that nobody wants")
		}
		c.Leave()
		if n := testing.AllocsPerRun(10, func() { s.Samples("south", in, 0, block) }); n != 0 {
			t.Errorf("%g allocations for rows that nobody wants", n)
		}
	})
}

// A byte of a row is two steps a decibel from -140 dB on.
func TestBytesOfRow(t *testing.T) {
	var power []float64
	for _, db := range []float64{-200, -140, -139.5, -100.2, -12.5, 0} {
		power = append(power, math.Pow(10, db/10))
	}
	row := spectrumRow(7, livetest.Begin, power)[headBytes:]
	for i, want := range []byte{0, 0, 1, 80, 255, 255} {
		if row[i] != want {
			t.Errorf("%g is %d, want %d", power[i], row[i], want)
		}
	}
}
