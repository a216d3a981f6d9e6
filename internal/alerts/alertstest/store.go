package alertstest

import (
	"reflect"
	"testing"
	"time"

	"ionoscribe/internal/alerts"
)

// TestStore checks that a store keeps what [alerts.Store] says. open opens the same one each time, and the one before is closed.
func TestStore(t *testing.T, open func() alerts.Store) {
	t.Helper()
	s := open()
	at := func(minutes int) time.Time { return time.Date(2026, 11, 27, 6, minutes, 0, 123e6, time.UTC) }
	first := alerts.Alert{
		Station: "Inselwacht", Rule: "gale", What: alerts.SignalText, UTC: at(0), Made: at(1), Summary: "Words received", Receiver: "north",
		Transmission: 7, Mode: "cw", FrequencyHz: 4583e3, Entry: "e1", Title: "Forecast \"B\"\nä", Match: "GALE", Call: "DXYZ",
		Excerpt: "NIL GALE", Country: "Nowhere", Detail: "none", HeldBack: 3,
	}
	second := alerts.Alert{Station: "Inselwacht", Rule: "disk", What: alerts.DiskFull, UTC: at(2), Made: at(2)}
	add := func(a *alerts.Alert, ways ...string) {
		t.Helper()
		id, err := s.Add(*a, ways)
		if err != nil || id <= a.ID {
			t.Fatalf("Add gives ID %d, %v", id, err)
		}
		a.ID = id
	}
	add(&first, "bell", "mail")
	add(&second, "mail")
	if second.ID == first.ID {
		t.Errorf("two alerts have the ID %d", first.ID)
	}
	due := func(minutes int, want ...alerts.Delivery) {
		t.Helper()
		for range 2 { // then after opening it again
			got, err := s.Due(at(minutes))
			if err != nil || len(got) != len(want) {
				t.Fatalf("minute %d: due are %d deliveries, want %d; %v", minutes, len(got), len(want), err)
			}
			for _, w := range want {
				found := false
				for _, g := range got {
					found = found || same(g, w)
				}
				if !found {
					t.Errorf("minute %d: due are %+v, without %+v", minutes, got, w)
				}
			}
			s = open()
		}
	}
	find := func(minutes int, way string) alerts.Delivery {
		t.Helper()
		got, _ := s.Due(at(minutes))
		for _, d := range got {
			if d.Way == way {
				return d
			}
		}
		t.Fatalf("minute %d: nothing is due on %s", minutes, way)
		return alerts.Delivery{}
	}
	made := []alerts.Delivery{{ID: find(1, "bell").ID, Alert: first, Way: "bell", State: alerts.Pending, Due: at(1), Changed: at(1)},
		{ID: find(1, "mail").ID, Alert: first, Way: "mail", State: alerts.Pending, Due: at(1), Changed: at(1)}}
	due(0, made...) // the clock was put back
	due(1, made...)

	// A delivery that failed gives way to the next one, until it is due again.
	bell, mail := find(1, "bell"), find(1, "mail")
	mail.Attempts, mail.MaybeSent, mail.Due, mail.Changed, mail.Reply = 1, true, at(10), at(3), "550 no"
	mark := func(d alerts.Delivery) {
		t.Helper()
		if err := s.Mark(d); err != nil {
			t.Fatal("Mark:", err)
		}
	}
	mark(mail)
	next := find(3, "mail")
	if next.Alert.ID != second.ID || next.ID == mail.ID {
		t.Errorf("behind a delivery that failed comes %+v", next)
	}
	due(3, bell, next)
	next.State, next.Changed = alerts.Delivered, at(4)
	mark(next)
	due(9, bell)
	due(10, bell, mail)
	bell.State, bell.Reply, bell.Changed = alerts.GivenUp, "no bell", at(11)
	mark(bell)
	due(59, mail)

	// What is held back.
	held := func(want ...alerts.Held) {
		t.Helper()
		for range 2 {
			got, err := s.Held()
			if err != nil || len(got) != len(want) {
				t.Fatalf("held are %+v, want %+v; %v", got, want, err)
			}
			for _, w := range want {
				found := false
				for _, g := range got {
					latest, wanted := g.Latest, w.Latest
					found = found || g.Rule == w.Rule && g.Last.Equal(w.Last) && g.Count == w.Count && (w.Count == 0 || sameAlert(latest, wanted))
				}
				if !found {
					t.Errorf("held are %+v, without %+v", got, w)
				}
			}
			s = open()
		}
	}
	held(alerts.Held{Rule: "gale", Last: at(1)}, alerts.Held{Rule: "disk", Last: at(2)})
	third := first
	third.ID, third.HeldBack = 0, 0
	if err := s.Hold(third); err != nil {
		t.Fatal("Hold:", err)
	}
	third.Match, third.HeldBack = "GALES", 4
	if err := s.Hold(third); err != nil {
		t.Fatal("Hold:", err)
	}
	other := alerts.Alert{Rule: "new", UTC: at(20), Made: at(20), What: alerts.Silent}
	if err := s.Hold(other); err != nil {
		t.Fatal("Hold:", err)
	}
	held(alerts.Held{Rule: "gale", Last: at(1), Count: 6, Latest: third}, alerts.Held{Rule: "disk", Last: at(2)},
		alerts.Held{Rule: "new", Count: 1, Latest: other})
	due(59, mail) // what is held back is not due
	third.Made = at(30)
	add(&third, "bell")
	held(alerts.Held{Rule: "gale", Last: at(30)}, alerts.Held{Rule: "disk", Last: at(2)}, alerts.Held{Rule: "new", Count: 1, Latest: other})
}

func same(a, b alerts.Delivery) bool {
	equal := sameAlert(a.Alert, b.Alert) && a.Due.Equal(b.Due) && a.Changed.Equal(b.Changed)
	a.Alert, b.Alert, a.Due, b.Due, a.Changed, b.Changed = alerts.Alert{}, alerts.Alert{}, time.Time{}, time.Time{}, time.Time{}, time.Time{}
	return equal && a == b
}

func sameAlert(a, b alerts.Alert) bool {
	equal := a.UTC.Equal(b.UTC) && a.Made.Equal(b.Made)
	a.UTC, b.UTC, a.Made, b.Made = time.Time{}, time.Time{}, time.Time{}, time.Time{}
	return equal && reflect.DeepEqual(a, b)
}
