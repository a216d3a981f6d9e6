package archive

import (
	"context"
	"errors"
	"testing"
	"time"

	"ionoscribe/internal/alerts"
)

func TestAlertsWithDeliveries(t *testing.T) {
	a, ctx := open(t, t.TempDir()), context.Background()
	for i := range 5 {
		_, err := a.Outbox().Add(alerts.Alert{Rule: "gale", Summary: "Words received", Made: noon.Add(time.Duration(i) * time.Minute)}, []string{"mail", "script"}[:1+i%2])
		must(t, err)
	}
	must(t, a.Outbox().Hold(alerts.Alert{Rule: "gale", Summary: "held"}))
	due, err := a.Outbox().Due(noon.Add(time.Hour))
	must(t, err)
	for _, d := range due {
		d.State, d.Attempts, d.Reply = alerts.GivenUp, 3, "no route"
		must(t, a.Outbox().Mark(d))
	}
	told, err := a.Alerts(ctx, 0, 2)
	must(t, err)
	if len(told) != 2 || told[0].ID != 5 || told[1].ID != 4 || len(told[0].Deliveries) != 1 || len(told[1].Deliveries) != 2 {
		t.Errorf("%+v", told)
	}
	told, err = a.Alerts(ctx, 4, 10)
	must(t, err)
	if len(told) != 3 || told[0].ID != 3 || told[2].Deliveries[0].State != alerts.GivenUp || told[2].Deliveries[0].Reply != "no route" || told[1].Deliveries[1].Way != "script" {
		t.Errorf("%+v", told)
	}
	held, err := a.HeldBack(ctx)
	must(t, err)
	if len(held) != 1 || held[0].Count != 1 || held[0].Latest.Summary != "held" {
		t.Errorf("%+v", held)
	}
}

func TestAcknowledge(t *testing.T) {
	a, ctx := open(t, t.TempDir()), context.Background()
	for range 4 {
		_, err := a.Outbox().Add(alerts.Alert{Rule: "gale", Made: noon}, []string{"script"})
		must(t, err)
	}
	open := func(want int) {
		t.Helper()
		if n, err := a.Unacknowledged(ctx); err != nil || n != want {
			t.Errorf("%d are open, want %d, %v", n, want, err)
		}
	}
	open(4)
	n, err := a.Acknowledge(ctx, 2, false, "mate")
	if must(t, err); n != 1 {
		t.Error(n)
	}
	open(3)
	n, err = a.Acknowledge(ctx, 3, true, "master")
	if must(t, err); n != 2 {
		t.Error(n)
	}
	open(1)
	n, err = a.Acknowledge(ctx, 3, true, "mate")
	if must(t, err); n != 0 {
		t.Error(n)
	}
	told, err := a.Alerts(ctx, 0, 10)
	must(t, err)
	if told[0].Acknowledged != (time.Time{}) || told[1].AcknowledgedBy != "master" || told[2].AcknowledgedBy != "mate" || told[2].Acknowledged.IsZero() {
		t.Errorf("%+v", told)
	}
	if _, err := a.Acknowledge(ctx, 9, true, ""); !errors.Is(err, ErrNone) {
		t.Error(err)
	}
	open(1)
}
