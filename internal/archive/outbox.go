package archive

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"time"

	"ionoscribe/internal/alerts"
)

// Outbox is the store of alerts. Its methods wait until what they did is on the disk.
func (a *Archive) Outbox() alerts.Store { return outbox{a} }

type outbox struct{ *Archive }

func (o outbox) Add(al alerts.Alert, ways []string) (id int64, err error) {
	ctx := context.Background()
	err = o.wait(ctx, func(w *writer) error {
		if err := w.conn.QueryRowContext(ctx, "SELECT last + 1 FROM number WHERE what = 'alert'").Scan(&id); err != nil {
			return err
		}
		al.ID = id
		text, err := json.Marshal(al)
		if err != nil {
			return err
		}
		if err := w.exec("INSERT INTO alert (id, rule, made, text) VALUES (?, ?, ?, ?)", id, al.Rule, millis(al.Made), string(text)); err != nil {
			return err
		}
		for _, way := range ways {
			if err := w.exec("INSERT INTO delivery (alert, way, state, due, attempts, maybe_sent, changed, reply) VALUES (?, ?, ?, ?, 0, 0, ?, '')",
				id, way, alerts.Pending, millis(al.Made), millis(al.Made)); err != nil {
				return err
			}
		}
		if al.Test {
			return nil
		}
		return w.exec("INSERT OR REPLACE INTO held (rule, last, count, latest) VALUES (?, ?, 0, '')", al.Rule, millis(al.Made))
	})
	return id, err
}

func (o outbox) Hold(al alerts.Alert) error {
	text, err := json.Marshal(al)
	if err != nil {
		return err
	}
	return o.wait(context.Background(), func(w *writer) error {
		return w.exec(`INSERT INTO held (rule, last, count, latest) VALUES (?1, 0, ?3, ?2) ON CONFLICT (rule) DO UPDATE SET count = count + ?3, latest = ?2`, al.Rule, string(text),
			1+al.HeldBack)
	})
}

func (o outbox) Held() ([]alerts.Held, error) {
	return o.HeldBack(context.Background())
}

const heldQuery = "SELECT rule, last, count, latest FROM held ORDER BY rule"

func scanHeld(s *sql.Rows) (h alerts.Held, err error) {
	var last int64
	var latest string
	if err := s.Scan(&h.Rule, &last, &h.Count, &latest); err != nil {
		return h, err
	}
	h.Last = fromMillis(last)
	if latest != "" {
		err = json.Unmarshal([]byte(latest), &h.Latest)
	}
	return h, err
}

const deliveryColumns = "delivery.id, alert.text, way, state, due, attempts, maybe_sent, changed, reply"

func scanDelivery(s *sql.Rows) (d alerts.Delivery, err error) {
	var text string
	var due, changed int64
	if err := s.Scan(&d.ID, &text, &d.Way, &d.State, &due, &d.Attempts, &d.MaybeSent, &changed, &d.Reply); err != nil {
		return d, err
	}
	d.Due, d.Changed = fromMillis(due), fromMillis(changed)
	return d, json.Unmarshal([]byte(text), &d.Alert)
}

func (o outbox) Due(now time.Time) ([]alerts.Delivery, error) {
	all, err := list(context.Background(), o.db, scanDelivery, "SELECT "+deliveryColumns+` FROM delivery JOIN alert ON alert.id = alert
		WHERE delivery.id IN (SELECT first_value(id) OVER (PARTITION BY way ORDER BY due, id) FROM delivery WHERE state = ?1 AND (due <= ?2 OR changed > ?2)) ORDER BY delivery.id`,
		alerts.Pending, millis(now))
	return all, o.failed(err)
}

var errNoDelivery = errors.New("there is no such delivery in the archive")

func (o outbox) Mark(d alerts.Delivery) error {
	ctx := context.Background()
	return o.wait(ctx, func(w *writer) error {
		done, err := w.conn.ExecContext(ctx, "UPDATE delivery SET state = ?, due = ?, attempts = ?, maybe_sent = ?, changed = ?, reply = ? WHERE id = ?",
			d.State, millis(d.Due), d.Attempts, d.MaybeSent, millis(d.Changed), d.Reply, d.ID)
		if err != nil {
			return err
		}
		if n, err := done.RowsAffected(); n == 0 && err == nil {
			return errNoDelivery
		}
		return nil
	})
}

// Deliveries gives those of alerts that were made in a time, in order.
func (r *Reader) Deliveries(ctx context.Context, from, to time.Time) ([]alerts.Delivery, error) {
	all, err := list(ctx, r.db, scanDelivery, "SELECT "+deliveryColumns+" FROM delivery JOIN alert ON alert.id = alert WHERE made >= ? AND made < ? ORDER BY delivery.id", millis(from), millis(to))
	return all, r.failed(err)
}
