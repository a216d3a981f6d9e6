package programme

import (
	"fmt"
	"testing"
	"time"
)

// A station asks what is due around now every few seconds.
func BenchmarkAround(b *testing.B) {
	var entries []Entry
	for i := range 200 {
		e := Entry{ID: fmt.Sprint(i), Times: []Clock{Clock(i), Clock(i + 400), Clock(i + 900)}, Days: Days(i % 128)}
		if i%10 == 0 {
			e.Days, e.From, e.Rule = 0, Date{2020, 1, 1 + i%28}, "FREQ=MONTHLY;BYDAY=1MO"
		}
		if i%15 == 0 {
			e.Zone = "Europe/Berlin"
		}
		entries = append(entries, e)
	}
	for b.Loop() {
		Around(entries, someDay, someDay.Add(time.Minute))
	}
}
