package demod_test

import (
	"errors"
	"io"
	"slices"
	"testing"

	"ionoscribe/demod"
)

// counter tells after each block how many samples there were, and -1 at the end.
type counter struct {
	n    int
	hear func(int)
}

func (c *counter) Write(x []float32) { c.n += len(x); c.hear(c.n) }
func (c *counter) Flush()            { c.hear(-1) }

// source has some blocks of ten samples and ends with an error.
type source struct {
	blocks int
	err    error
}

func (*source) SampleRate() float64 { return 8000 }
func (s *source) ReadSamples([]float32) (int, error) {
	if s.blocks == 0 {
		return 0, s.err
	}
	s.blocks--
	return 10, nil
}

// What was heard comes before an error, the end is none, and nothing is read or told any more by whoever has heard enough.
func TestPull(t *testing.T) {
	broken := errors.New("broken")
	pull := func(src *source, enough int) (got []int, last error) {
		for n, err := range demod.Pull(src, func(hear func(int)) (demod.Decoder, error) { return &counter{hear: hear}, nil }) {
			if last = err; err != nil {
				break
			}
			if got = append(got, n); n == enough {
				break
			}
		}
		return got, last
	}
	for _, c := range []struct {
		src    *source
		enough int
		want   []int
		err    error
		left   int
	}{
		{&source{2, io.EOF}, 0, []int{10, 20, 20, -1}, nil, 0},
		{&source{2, broken}, 0, []int{10, 20, 20, -1}, broken, 0},
		{&source{5, io.EOF}, 20, []int{10, 20}, nil, 3},
	} {
		got, err := pull(c.src, c.enough)
		if !slices.Equal(got, c.want) || err != c.err || c.src.blocks != c.left {
			t.Errorf("%v, %v, %d blocks left; want %+v", got, err, c.src.blocks, c)
		}
	}
	for _, err := range demod.Pull(&source{}, func(func(int)) (demod.Decoder, error) { return nil, broken }) {
		if err != broken {
			t.Error(err)
		}
	}
}
