package archive

import (
	"context"
	"database/sql"
	"errors"
	"path/filepath"

	"ionoscribe/internal/fault"
)

// Backup copies the database into a file, at a moment, while others write; the file becomes the database of a folder by
// copying it there as archive.db. Pictures, videos and sound are files of their own and are copied with any program.
func (r *Reader) Backup(ctx context.Context, file string) error {
	if full, err := filepath.Abs(file); err == nil && full == r.path {
		return &fault.Error{Op: "write", Path: file, Err: errors.New("it is the database itself"), Mend: "choose another file"}
	}
	c, err := r.db.Conn(ctx)
	if err != nil {
		return r.failed(err)
	}
	defer c.Close()
	return r.backup(ctx, c, file)
}

func (r *Reader) backup(ctx context.Context, c *sql.Conn, file string) error {
	// VACUUM INTO reads in one transaction and writes nothing here, but it is held for writing.
	if _, err := c.ExecContext(ctx, "PRAGMA query_only = 0"); err != nil {
		return r.failed(err)
	}
	defer c.ExecContext(context.Background(), "PRAGMA query_only = 1")
	return vacuumInto(ctx, c, file)
}
