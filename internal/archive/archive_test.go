package archive

import (
	"context"
	"testing"
)

func TestTell(t *testing.T) {
	dir := t.TempDir()
	a := open(t, dir)
	sample(t, a)
	r, err := a.Transmission(context.Background(), 1)
	must(t, err)
	t.Logf("%+v", r)
	must(t, a.Close())
	b := open(t, dir)
	r, err = b.Transmission(context.Background(), 3)
	must(t, err)
	t.Logf("%+v", r)
}
