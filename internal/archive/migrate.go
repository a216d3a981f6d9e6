package archive

import (
	"context"
	"database/sql"
	"embed"
	"errors"
	"fmt"
	"os"
	"path/filepath"

	"ionoscribe/internal/fault"
	"ionoscribe/internal/partfile"
)

//go:embed migrations/*.sql
var migrations embed.FS

// version is that of the schema, PRAGMA user_version. Migration n, migrations/n.sql, makes version n of version n-1. One that
// was ever released is never changed.
const version = 4

// applicationID marks the database as one of this program (PRAGMA application_id): "IONS".
const applicationID = 0x494f4e53

// after are what migrations do that SQL alone cannot, in the same transaction.
var after = map[int]func(context.Context, *sql.Conn) error{2: indexAll}

// migrate brings the database at path to the version that this program knows. Before it changes one it copies it.
func migrate(ctx context.Context, c *sql.Conn, path string) error {
	from, err := schemaOf(ctx, c, path)
	if err != nil || from == version {
		return err
	}
	if from > 0 {
		copied := filepath.Join(filepath.Dir(path), fmt.Sprintf("before-%d.db", version))
		if err := vacuumInto(ctx, c, copied); err != nil {
			return err
		}
	}
	for n := from + 1; n <= version; n++ {
		if err := migrateTo(ctx, c, n); err != nil {
			return failure("bring to version "+fmt.Sprint(n), path, err)
		}
	}
	return nil
}

func migrateTo(ctx context.Context, c *sql.Conn, n int) error {
	text, err := migrations.ReadFile(fmt.Sprintf("migrations/%d.sql", n))
	if err != nil {
		return err
	}
	return transaction(ctx, c, func() error {
		if _, err := c.ExecContext(ctx, string(text)); err != nil {
			return err
		}
		if f := after[n]; f != nil {
			if err := f(ctx, c); err != nil {
				return err
			}
		}
		_, err := c.ExecContext(ctx, fmt.Sprintf("PRAGMA application_id = %d; PRAGMA user_version = %d", applicationID, n))
		return err
	})
}

// schemaOf is the version of a database, 0 of an empty one. It fails for one that is newer, or another program's.
func schemaOf(ctx context.Context, c *sql.Conn, path string) (v int, err error) {
	var id, tables int
	err = c.QueryRowContext(ctx, "SELECT (SELECT user_version FROM pragma_user_version), (SELECT application_id FROM pragma_application_id), (SELECT count(*) FROM sqlite_schema)").Scan(&v, &id, &tables)
	switch {
	case err != nil:
		return 0, failure("read", path, err)
	case tables > 0 && id != applicationID:
		return 0, &fault.Error{Op: "read", Path: path, Err: errors.New("it is another program's database"), Mend: "put it aside, or choose another folder"}
	case v > version:
		return 0, &fault.Error{Op: "read", Path: path, Err: fmt.Errorf("it is of version %d, and this program knows %d", v, version), Mend: "use the newer program that wrote it"}
	}
	return v, nil
}

// vacuumInto copies a database into a file at one stroke.
func vacuumInto(ctx context.Context, c *sql.Conn, file string) error {
	part, err := partfile.Create(file)
	if err != nil {
		return failure("write", file, err)
	}
	// SQLite takes an empty file for a new database. Its own locks are others than the one that marks the file as held.
	if _, err = c.ExecContext(ctx, "VACUUM INTO ?", part.Name()); err != nil {
		partfile.Discard(part)
		return failure("write", file, err)
	}
	if err := part.Sync(); err != nil {
		partfile.Discard(part)
		return failure("write", file, err)
	}
	if err := partfile.Place(part, file); err != nil {
		return failure("write", file, err)
	}
	syncFolder(filepath.Dir(file))
	return nil
}

// syncFolder makes names in a folder safe; not every file system can do it.
func syncFolder(dir string) {
	if d, err := os.Open(dir); err == nil {
		d.Sync()
		d.Close()
	}
}

// transaction does f in a transaction that writes.
func transaction(ctx context.Context, c *sql.Conn, f func() error) error {
	// A context that ends during a statement is the statement's error even if it was done. So a BEGIN that failed is rolled back
	// too, and COMMIT has no context: it would be told as failed, and the same rows written again.
	_, err := c.ExecContext(ctx, "BEGIN IMMEDIATE")
	if err == nil {
		err = f()
	}
	if err == nil {
		_, err = c.ExecContext(context.WithoutCancel(ctx), "COMMIT")
	}
	if err != nil {
		// After some errors there is no transaction any more; then this fails, and that is as well.
		c.ExecContext(context.WithoutCancel(ctx), "ROLLBACK")
	}
	return err
}
