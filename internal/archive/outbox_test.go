package archive

import (
	"testing"

	"ionoscribe/internal/alerts"
	"ionoscribe/internal/alerts/alertstest"
)

func TestOutbox(t *testing.T) {
	dir := t.TempDir()
	var a *Archive
	alertstest.TestStore(t, func() alerts.Store {
		if a != nil {
			if err := a.Close(); err != nil {
				t.Fatal(err)
			}
		}
		var err error
		if a, err = Open(dir, Options{}); err != nil {
			t.Fatal(err)
		}
		return a.Outbox()
	})
	if err := a.Close(); err != nil {
		t.Fatal(err)
	}
}
