package trials

import (
	"context"

	"ionoscribe/demod"
)

// Until is a signal that ends when ctx is done, so that a long trial ends soon.
func Until(ctx context.Context, src demod.SampleReader) demod.SampleReader { return until{src, ctx} }

type until struct {
	demod.SampleReader
	ctx context.Context
}

func (u until) ReadSamples(dst []float32) (int, error) {
	if err := u.ctx.Err(); err != nil {
		return 0, err
	}
	return u.SampleReader.ReadSamples(dst)
}
