package rehearsal

import (
	"log/slog"
	"os"
	"testing"
)

// A day of three receivers: each broadcast of the programme is filed under its title, those that were not sent are known as
// missed, and archive and files agree.
func TestDay(t *testing.T) {
	p := Plan{Days: 1, A: 6, Seed: 1}
	log := slog.New(slog.DiscardHandler)
	if testing.Verbose() {
		log = slog.New(slog.NewTextHandler(os.Stderr, nil))
	}
	res, err := p.Run(t.Context(), t.TempDir(), log)
	if err != nil {
		t.Fatal(err)
	}
	t.Log("\n" + res.String())
	if res.Filed != res.Planned || res.Missed != res.Silent || len(res.Problems) > 0 || res.Planned == 0 {
		t.Errorf("%v %v", res.Wrong, res.Problems)
	}
}
