package archive

import (
	"context"
	"fmt"
	"strings"
)

// Note keeps what a person says of a transmission. It waits until that is on the disk.
func (a *Archive) Note(ctx context.Context, id ID, n Note) error {
	if n.Rating != nil && (*n.Rating < 0 || *n.Rating > 5) {
		return fmt.Errorf("a rating of %d is not between 0 and 5", *n.Rating)
	}
	a.mutex.Lock()
	if t := a.arriving[id]; t != nil {
		n.change(&t.Transmission)
		a.putTransmission(t)
		a.mutex.Unlock()
		return a.Flush(ctx)
	}
	a.mutex.Unlock()
	var set []string
	var values []any
	add := func(column string, value any) {
		set = append(set, column+" = ?")
		values = append(values, value)
	}
	if n.Title != nil {
		add("title", *n.Title)
	}
	if n.Notes != nil {
		add("notes", *n.Notes)
	}
	if n.Rating != nil {
		add("rating", *n.Rating)
	}
	if n.Favourite != nil {
		add("favourite", *n.Favourite)
	}
	if len(set) == 0 {
		return nil
	}
	none := false
	err := a.wait(ctx, func(w *writer) error {
		done, err := w.conn.ExecContext(ctx, "UPDATE transmission SET "+strings.Join(set, ", ")+" WHERE id = ?", append(values, id)...)
		if err != nil {
			return err
		}
		changed, err := done.RowsAffected()
		if none = changed == 0; none || err != nil {
			return err
		}
		return w.exec(putAbout, id)
	})
	if err == nil && none {
		return ErrNone
	}
	return err
}

func (n *Note) change(t *Transmission) {
	if n.Title != nil {
		t.Title = *n.Title
	}
	if n.Notes != nil {
		t.Notes = *n.Notes
	}
	if n.Rating != nil {
		t.Rating = *n.Rating
	}
	if n.Favourite != nil {
		t.Favourite = *n.Favourite
	}
}
