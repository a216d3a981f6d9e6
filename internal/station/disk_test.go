package station

import (
	"testing"
	"time"
)

func TestDiskFilling(t *testing.T) {
	var g diskGauge
	began := time.Now()
	if rate, over := g.filling(began, 5); rate != 0 || over != 0 {
		t.Error(rate, over)
	}
	for i := range 3 * 24 * 60 { // 100 bytes a minute, for three days
		g.note(began.Add(time.Duration(i)*time.Minute), 1e9-int64(i)*100)
		if i == 5 {
			if rate, over := g.filling(began.Add(5*time.Minute), 0); rate != 0 || over != 0 {
				t.Error("after five minutes:", rate, over)
			}
		}
	}
	if len(g.noted) > 146 {
		t.Errorf("%d are kept", len(g.noted))
	}
	if rate, over := g.filling(began.Add(72*time.Hour), 1e9-3*24*60*100); rate < 143_900 || rate > 144_100 || over < 23*time.Hour || over > 25*time.Hour {
		t.Error(rate, over)
	}
}
