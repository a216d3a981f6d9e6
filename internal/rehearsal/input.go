package rehearsal

import (
	"context"
	"errors"
	"io"
	"math"
	"sync"
	"time"

	"math/rand/v2"

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

// input is what a receiver hears: a piece of sound around each broadcast, and nothing of the time between.
type input struct {
	pieces []broadcast

	mutex  sync.Mutex
	starts []int64     // sample at which each piece began that was given so far
	times  []time.Time // of these samples
}

// open is the source of a receiver.
func (p Plan) open(receiver int) *station.Input {
	in := &input{pieces: p.broadcasts(receiver)}
	return &station.Input{
		Path: "rehearsal:" + receivers[receiver].name, SampleRate: rate, Time: in.time, TimeFrom: func() string { return "rehearsal" },
		DialHz: receivers[receiver].dialHz, DialFrom: "rehearsal", Each: in.each,
	}
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

func (in *input) each(ctx context.Context, take func(station.Block)) error {
	at := int64(0)
	block := make([]float32, 4096)
	for _, b := range in.pieces {
		in.mutex.Lock()
		in.starts, in.times = append(in.starts, at), append(in.times, b.at.Add(-before*1e9))
		in.mutex.Unlock()
		src, err := b.sound()
		if err != nil {
			return err
		}
		for err == nil {
			if ctx.Err() != nil {
				return ctx.Err()
			}
			var n int
			n, err = src.ReadSamples(block)
			take(station.Block{Audio: block[:n]})
			at += int64(n)
		}
		if !errors.Is(err, io.EOF) {
			return err
		}
	}
	return nil
}

// sound is a broadcast in noise.
func (b broadcast) sound() (demod.SampleReader, error) {
	r := rand.New(rand.NewPCG(b.seed, 0x736f756e64))
	v, err := b.mode.Invent(mode.Brief{Random: r, SampleRate: rate, Low: b.hz, High: b.hz, Seconds: seconds, Short: true, Seed: b.seed,
		Text: func(n int) string { return traffic.Any(r, n) }})
	if err != nil {
		return nil, err
	}
	length := before + v.Sound.Duration() + after
	noise, err := samples.NewNoise(samples.Silence(rate, length), samples.NoiseConfig{SignalPower: noiseLevel * noiseLevel, Seed: b.seed})
	if err != nil || b.silent {
		return noise, err
	}
	late, err := samples.Concat(samples.Silence(rate, before), v.Sound)
	if err != nil {
		return nil, err
	}
	return samples.NewMix(noise, late, noiseLevel*math.Sqrt(math.Pow(10, b.snr/10)/v.Sound.Power()))
}
