package sqlite

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"endfloat/internal/file"
	"endfloat/internal/shop"
)

// Backup writes all that is in the store now to a new data file, while the
// store is in use. A file that is there already is refused.
func (s *Store) Backup(ctx context.Context, to string) error {
	db, err := sql.Open("sqlite", dsn(s.path, settings, "mode", "ro"))
	if err != nil {
		return err
	}
	defer db.Close()
	if err := vacuumInto(ctx, db, to); err != nil {
		return fmt.Errorf("backing up %s: %w", s.path, words(to, err))
	}
	return nil
}

// vacuumInto puts a copy of a database at a path, whole or not at all.
func vacuumInto(ctx context.Context, db *sql.DB, to string) (err error) {
	if _, err := os.Lstat(to); !errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("%s is there already; name another file (%w)", to, errors.Join(err, fs.ErrExist))
	}
	folder, name := filepath.Split(to)
	f, err := os.CreateTemp(folder, name+".part*") // no name that one cut short may have left
	if err != nil {
		return fmt.Errorf("%s cannot be made; check that its folder exists and may be written to (%w)", to, err)
	}
	made := f.Name()
	defer func() { err = errors.Join(err, file.Remove(made)) }()
	if err := f.Close(); err != nil {
		return err
	}
	if _, err := db.ExecContext(ctx, "VACUUM INTO $1", made); err != nil {
		return err
	}
	return file.PlaceNew(made, to)
}

// Replace puts a new data file in the place of the one at path, which is kept under
// another name. At no moment is there none. A file in use is refused; a damaged one
// is put aside together with its log, and so is a log whose file is gone.
func Replace(ctx context.Context, path, aside, fresh string) error {
	if _, err := os.Lstat(aside); err == nil {
		return fmt.Errorf("%s is there already and what is there now would be kept under that name; do it again (%w)", aside, fs.ErrExist)
	}
	_, err := os.Stat(path)
	missing := errors.Is(err, fs.ErrNotExist)
	if !missing {
		if err := alone(ctx, path); err != nil {
			return err
		}
	}
	for _, end := range []string{"-wal", "-shm", "-journal"} { // nothing that the new file could mistake for its own
		if err := os.Rename(path+end, aside+end); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return err
		}
	}
	if !missing {
		if err := keep(path, aside); err != nil {
			return err
		}
	}
	if err := file.SyncFolder(filepath.Dir(path)); err != nil { // a disk may keep the next name without these
		return err
	}
	return file.Place(fresh, path)
}

// keep gives a file a second name, or where the drive knows none, makes a second file.
func keep(path, aside string) error {
	if os.Link(path, aside) == nil {
		return nil
	}
	return copyWhole(path, aside)
}

func copyWhole(path, aside string) error {
	from, err := os.Open(path)
	if err != nil {
		return err
	}
	defer from.Close()
	to, err := os.OpenFile(aside, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return err
	}
	_, err = io.Copy(to, from)
	if err = errors.Join(err, to.Sync(), to.Close()); err != nil {
		return errors.Join(err, os.Remove(aside)) // half of it is no use to anybody
	}
	return nil
}

// alone folds the log of a file into it, if no other program has the file open.
func alone(ctx context.Context, path string) error {
	if err := renewLog(ctx, path); code(err) == codeIO {
		return err
	}
	db, err := sql.Open("sqlite", dsn(path, []setting{{"busy_timeout", "100"}}, "mode", "rw"))
	if err != nil {
		return err
	}
	db.SetMaxOpenConns(1)
	var mode string
	err = db.QueryRowContext(ctx, "PRAGMA journal_mode = DELETE").Scan(&mode) // only if nobody else has it open
	err = errors.Join(err, db.Close())
	if code(err) == codeBusy || err == nil && mode != "delete" {
		return fmt.Errorf("%s is in use; stop the program that has it open, and do it again", path)
	}
	return nil // a damaged file is nobody's, either
}

// Care implements shop.Cared.
func (s *Store) Care(ctx context.Context, c shop.Care) error {
	return s.write(&write{ctx: ctx, do: func(t *tx) error {
		_, err := t.exec(`INSERT INTO care (what, at, note) VALUES ($1, $2, $3)
			ON CONFLICT (what) DO UPDATE SET at = excluded.at, note = excluded.note`, c.What, c.At.UTC().Format(time.RFC3339), c.Note)
		return err
	}})
}

// Cares implements shop.Cared.
func (s *Store) Cares(ctx context.Context) (out []shop.Care, _ error) {
	rows, err := s.readers.QueryContext(ctx, "SELECT what, at, note FROM care ORDER BY what")
	err = scan(rows, err, func() error {
		var c shop.Care
		var at string
		if err := rows.Scan(&c.What, &at, &c.Note); err != nil {
			return err
		}
		var err error
		c.At, err = time.Parse(time.RFC3339, at)
		out = append(out, c)
		return err
	})
	if err != nil {
		return nil, fmt.Errorf("when it was looked after: %w", words(s.path, err))
	}
	return out, nil
}

// CopyFile copies a data file that may be in use to a new one. What is no data
// file of ours is refused and left as it was.
func CopyFile(ctx context.Context, from, to string) error {
	from, err := filepath.Abs(from)
	if err != nil {
		return err
	}
	if err := look(ctx, from); err != nil {
		return err
	}
	db, err := sql.Open("sqlite", dsn(from, []setting{{"busy_timeout", "5000"}, {"trusted_schema", "0"}, {"cell_size_check", "1"}, {"mmap_size", "0"}}, "mode", "ro"))
	if err != nil {
		return err
	}
	defer db.Close()
	if err := quickCheck(ctx, db); err != nil {
		return words(from, err)
	}
	return words(from, vacuumInto(ctx, db, to))
}
