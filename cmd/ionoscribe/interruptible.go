package main

import "context"

// interruptible does what takes long and cannot be stopped, and has no effect on files, but does not wait for it when ctx
// ends: then the program does too.
func interruptible[T any](ctx context.Context, f func() (T, error)) (T, error) {
	type result struct {
		value T
		err   error
	}
	done := make(chan result, 1)
	go func() {
		v, err := f()
		done <- result{v, err}
	}()
	select {
	case r := <-done:
		return r.value, r.err
	case <-ctx.Done():
		var none T
		return none, errInterrupted
	}
}
