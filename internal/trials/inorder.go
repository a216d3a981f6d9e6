// Package trials runs the trials of studies on all cores.
package trials

import (
	"context"
	"runtime"
	"sync/atomic"
)

// InOrder does work 0 to n-1 on all cores and calls each with what came of it, in order, from its own goroutine.
// What it reports does not depend on the number of cores, as long as the work depends on i alone. It ends early
// with the first error in order, or when ctx is done; the workers then end with what they are at.
func InOrder[T any](ctx context.Context, n int, work func(ctx context.Context, i int) (T, error), each func(T)) error {
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	type outcome struct {
		result T
		err    error
	}
	done := make([]chan outcome, n)
	for i := range done {
		done[i] = make(chan outcome, 1)
	}
	var next atomic.Int64
	for range min(runtime.GOMAXPROCS(0), n) {
		go func() {
			for ctx.Err() == nil {
				i := int(next.Add(1)) - 1
				if i >= n {
					return
				}
				r, err := work(ctx, i)
				done[i] <- outcome{r, err}
			}
		}()
	}
	for _, c := range done {
		select {
		case o := <-c:
			if o.err != nil {
				return o.err
			}
			each(o.result)
		case <-ctx.Done():
			return ctx.Err()
		}
	}
	return nil
}
