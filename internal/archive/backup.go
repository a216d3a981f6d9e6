package archive

import (
	"context"
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
	return vacuumInto(ctx, c, file)
}
