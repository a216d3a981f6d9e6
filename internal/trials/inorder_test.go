package trials

import (
	"context"
	"errors"
	"runtime"
	"slices"
	"testing"
)

func TestInOrder(t *testing.T) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(0))
	bad := errors.New("bad")
	for _, cores := range []int{1, 4} {
		runtime.GOMAXPROCS(cores)
		var got []int
		square := func(_ context.Context, i int) (int, error) {
			if i == 7 {
				return 0, bad
			}
			return i * i, nil
		}
		keep := func(v int) { got = append(got, v) }
		if err := InOrder(t.Context(), 7, square, keep); err != nil || !slices.Equal(got, []int{0, 1, 4, 9, 16, 25, 36}) {
			t.Errorf("%d cores: %v, %v", cores, got, err)
		}
		got = nil
		if err := InOrder(t.Context(), 20, square, keep); err != bad || len(got) != 7 {
			t.Errorf("%d cores: %v, %v", cores, got, err)
		}
		if err := InOrder(t.Context(), 0, square, keep); err != nil {
			t.Error(err)
		}
		// Cancelled from within each: nothing is waited for.
		ctx, cancel := context.WithCancel(t.Context())
		wait := func(ctx context.Context, i int) (int, error) {
			if i > 0 {
				<-ctx.Done()
			}
			return i, nil
		}
		got = nil
		err := InOrder(ctx, 3, wait, func(v int) { got = append(got, v); cancel() })
		if len(got) < 1 || got[0] != 0 || len(got) < 3 && err != context.Canceled {
			t.Errorf("%d cores: %v, %v", cores, got, err)
		}
		cancel()
	}
}
