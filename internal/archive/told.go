package archive

import (
	"context"
	"database/sql"
	"encoding/json"
	"time"

	"ionoscribe/internal/alerts"
)

// Told is an alert with what became of it.
type Told struct {
	alerts.Alert
	Deliveries     []alerts.Delivery // without the alert
	Acknowledged   time.Time         // when somebody said that it is known; zero: nobody has
	AcknowledgedBy string            // a user; "": whoever was at the station's computer
}

// Alerts gives those with a number below before (0: all), the newest first.
func (r *Reader) Alerts(ctx context.Context, before int64, limit int) (all []Told, err error) {
	if before == 0 {
		before = forever
	}
	err = r.moment(ctx, func(c *sql.Conn) error {
		all, err = list(ctx, c, func(s *sql.Rows) (t Told, err error) {
			var text string
			var acknowledged int64
			if err := s.Scan(&t.ID, &text, &acknowledged, &t.AcknowledgedBy); err != nil {
				return t, err
			}
			t.Acknowledged = fromMillis(acknowledged)
			return t, json.Unmarshal([]byte(text), &t.Alert)
		}, "SELECT id, text, acknowledged, acknowledged_by FROM alert WHERE id < ? ORDER BY id DESC LIMIT ?", before, limit)
		if err != nil || len(all) == 0 {
			return err
		}
		at := map[int64]*Told{}
		for i := range all {
			at[all[i].ID] = &all[i]
		}
		deliveries, err := list(ctx, c, scanDelivery, "SELECT "+deliveryColumns+" FROM delivery JOIN alert ON alert.id = alert WHERE alert BETWEEN ? AND ? ORDER BY delivery.id",
			all[len(all)-1].ID, all[0].ID)
		for _, d := range deliveries {
			if t := at[d.Alert.ID]; t != nil {
				d.Alert = alerts.Alert{}
				t.Deliveries = append(t.Deliveries, d)
			}
		}
		return err
	})
	return all, r.failed(err)
}

// HeldBack tells of each rule that ever had an alert.
func (r *Reader) HeldBack(ctx context.Context) ([]alerts.Held, error) {
	all, err := list(ctx, r.db, scanHeld, heldQuery)
	return all, r.failed(err)
}

// Unacknowledged is how many alerts are.
func (r *Reader) Unacknowledged(ctx context.Context) (n int, err error) {
	err = r.db.QueryRowContext(ctx, "SELECT count(*) FROM alert WHERE acknowledged = 0").Scan(&n)
	return n, r.failed(err)
}

// Acknowledge notes who knows of an alert, and when, and does so for all before it if they are meant too. What is acknowledged
// already stays so. It waits until that is on the disk, and gives how many there were; ErrNone: there is no such alert.
func (a *Archive) Acknowledge(ctx context.Context, id int64, before bool, by string) (n int64, err error) {
	at := a.now()
	first := id
	if before {
		first = 0
	}
	err = a.wait(ctx, func(w *writer) error {
		var there bool
		if err := w.conn.QueryRowContext(ctx, "SELECT EXISTS (SELECT 1 FROM alert WHERE id = ?)", id).Scan(&there); err != nil {
			return err
		}
		if !there {
			n = -1
			return nil
		}
		done, err := w.conn.ExecContext(ctx, "UPDATE alert SET acknowledged = ?, acknowledged_by = ? WHERE id BETWEEN ? AND ? AND acknowledged = 0", millis(at), by, first, id)
		if err != nil {
			return err
		}
		n, err = done.RowsAffected()
		return err
	})
	if err == nil && n < 0 {
		return 0, ErrNone
	}
	return n, err
}
