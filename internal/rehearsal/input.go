package rehearsal

import (
	"context"
	"errors"
	"io"
	"math"
	"math/rand/v2"
	"sync"
	"time"

	"ionoscribe/demod"
	"ionoscribe/internal/mode"
	"ionoscribe/internal/station"
	"ionoscribe/internal/traffic"
	"ionoscribe/samples"
)

const (
	rate       = 8000.0
	noiseLevel = 0.004 // amplitude of noise in 2500 Hz: a signal of 25 dB stays below full scale
	before     = 4.0   // seconds of noise before a broadcast
	after      = 16.0  // and after it: more than a survey waits for what may be a fade
	seconds    = 25.0  // that a text takes, about
)

// input is what a receiver hears: a piece of sound around each broadcast, and nothing of the time between; from some time on
// it hears noise between, as time goes.
type input struct {
	pieces []broadcast
	live   time.Time     // from when on; zero: never
	behind time.Duration // by which it is behind the clock

	mutex  sync.Mutex
	starts []int64     // sample at which each piece began that was given so far
	times  []time.Time // of these samples
}

// open is the source of a receiver of the rehearsal.
func (p Plan) open(receiver int) *station.Input {
	r := receivers[receiver]
	in := &input{pieces: p.broadcasts(receiver)}
	return in.open("rehearsal:"+r.name, r.dialHz)
}

func (in *input) open(path string, dialHz float64) *station.Input {
	from := func() string { return "an invented day" }
	return &station.Input{Path: path, SampleRate: rate, Live: !in.live.IsZero(), Time: in.time, TimeFrom: from, DialHz: dialHz, DialFrom: "an invented day", Each: in.each}
}

// time is that of a sample: pieces have their own.
func (in *input) time(sample int64) time.Time {
	in.mutex.Lock()
	defer in.mutex.Unlock()
	k := len(in.starts) - 1
	for k > 0 && in.starts[k] > sample {
		k--
	}
	if k < 0 {
		return in.pieces[0].at.Add(-before * 1e9).Add(demod.Rate(rate).Duration(sample))
	}
	return in.times[k].Add(demod.Rate(rate).Duration(sample - in.starts[k]))
}

// piece notes that a piece begins at a sample.
func (in *input) piece(sample int64, at time.Time) {
	in.mutex.Lock()
	defer in.mutex.Unlock()
	in.starts, in.times = append(in.starts, sample), append(in.times, at)
}

func (in *input) each(ctx context.Context, take func(station.Block)) error {
	at := int64(0)
	play := func(src demod.SampleReader, paced bool) error {
		block := make([]float32, 4096)
		for {
			n, err := src.ReadSamples(block)
			if paced {
				wait(ctx, time.Until(in.time(at+int64(n)).Add(in.behind)))
			}
			if ctx.Err() != nil {
				return ctx.Err()
			}
			take(station.Block{Audio: block[:n]})
			at += int64(n)
			if errors.Is(err, io.EOF) {
				return nil
			} else if err != nil {
				return err
			}
		}
	}
	for i, b := range in.pieces {
		begins := b.at.Add(-before * 1e9)
		live := !in.live.IsZero() && begins.After(in.live)
		if live && !in.time(at).Before(in.live) { // noise until it begins
			if err := play(hiss(begins.Sub(in.time(at)).Seconds(), uint64(i)), true); err != nil {
				return err
			}
		} else if live {
			in.piece(at, in.live)
			if err := play(hiss(begins.Sub(in.live).Seconds(), uint64(i)), true); err != nil {
				return err
			}
		} else {
			in.piece(at, begins)
		}
		src, err := b.inNoise()
		if err != nil {
			return err
		}
		if err := play(src, live); err != nil {
			return err
		}
	}
	return nil
}

// wait waits for some time, or until ctx is done.
func wait(ctx context.Context, d time.Duration) {
	if d <= 0 {
		return
	}
	select {
	case <-ctx.Done():
	case <-time.After(d):
	}
}

// hiss is noise of some length.
func hiss(seconds float64, seed uint64) demod.SampleReader {
	noise, err := samples.NewNoise(samples.Silence(rate, max(seconds, 0)), samples.NoiseConfig{SignalPower: noiseLevel * noiseLevel, Seed: seed})
	if err != nil {
		panic("rehearsal: " + err.Error()) // the configuration is ours
	}
	return noise
}

// inNoise is the sound of a broadcast.
func (b broadcast) inNoise() (demod.SampleReader, error) {
	sound, err := b.sent()
	if err != nil {
		return nil, err
	}
	noise := hiss(before+sound.Duration()+after, b.seed)
	if b.silent {
		return noise, nil
	}
	late, err := samples.Concat(samples.Silence(rate, before), sound)
	if err != nil {
		return nil, err
	}
	return samples.NewMix(noise, late, noiseLevel*math.Sqrt(math.Pow(10, b.snr/10)/sound.Power()))
}

// sent is the broadcast as it is sent.
func (b broadcast) sent() (mode.Sound, error) {
	if b.sound != nil {
		return b.sound()
	}
	return b.invent()
}

// invent has its mode invent it.
func (b broadcast) invent() (mode.Sound, error) {
	r := rand.New(rand.NewPCG(b.seed, 0x736f756e64))
	v, err := b.mode.Invent(mode.Brief{Random: r, SampleRate: rate, Low: b.hz, High: b.hz, Seconds: seconds, Short: true, Seed: b.seed, Text: b.textOf(r)})
	return v.Sound, err
}

// textOf makes its text.
func (b broadcast) textOf(r *rand.Rand) func(int) string {
	return func(n int) string {
		if b.text != "" {
			return b.text
		}
		return traffic.Any(r, n)
	}
}
