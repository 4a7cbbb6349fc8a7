package sqlite

import (
	"context"
	"database/sql"
	_ "embed"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"

	"golang.org/x/mod/semver"

	"endfloat/internal/file"
	"endfloat/internal/shop"
)

// applicationID marks a SQLite file as ours: "endf".
const applicationID = 0x656e6466

// oldest is the first SQLite whose log cannot be reset under a reader's feet
// (sqlite.org/wal.html, "The WAL-Reset Bug").
const oldest = "v3.51.3"

//go:embed 1.sql
var format1 string

//go:embed 2.sql
var format2 string

//go:embed 3.sql
var format3 string

// step leads from one format of the file to the next: SQL, and then what SQL
// cannot do.
type step struct {
	sql  string
	then func(context.Context, *sql.Tx) error
}

var formats = []step{{sql: format1}, {sql: format2, then: sealAll}, {sql: format3}}

// setting is a PRAGMA and its value as SQLite reads it back.
type setting struct{ name, value string }

// Each connection is given all settings when it is opened.
var (
	settings = []setting{
		{"busy_timeout", "5000"}, // first: switching to WAL may itself have to wait
		{"journal_mode", "wal"},
		{"synchronous", "2"}, // FULL: a commit is on the disk
		{"fullfsync", "1"},   // and past the drive's cache, on macOS
		{"checkpoint_fullfsync", "1"},
		{"foreign_keys", "1"},
		{"recursive_triggers", "1"}, // else INSERT OR REPLACE deletes behind the triggers
		{"trusted_schema", "0"},
		{"cell_size_check", "1"},
		{"mmap_size", "0"},  // a stray write must not reach the file
		{"temp_store", "2"}, // MEMORY: what undoes a statement needs no disk
	}
	writeSettings = append(settings[:len(settings):len(settings)],
		setting{"secure_delete", "1"},      // a dropped blob leaves no bytes behind
		setting{"wal_autocheckpoint", "0"}, // see fold
	)
	readSettings = append(settings[:len(settings):len(settings)],
		setting{"query_only", "1"},
	)
)

// dsn names the file at path with settings and further pairs of options.
func dsn(path string, set []setting, options ...string) string {
	q := url.Values{"_defensive": {"1"}, "_dqs": {"0"}, "_txlock": {"immediate"}}
	for _, s := range set {
		q.Add("_pragma", fmt.Sprintf("%s(%s)", s.name, s.value))
	}
	for i := 0; i < len(options); i += 2 {
		q.Set(options[i], options[i+1])
	}
	path = filepath.ToSlash(path)
	if path[0] != '/' { // C:/data
		path = "/" + path
	}
	u := url.URL{Scheme: "file", Path: path, RawQuery: q.Encode()}
	return u.String()
}

// readBack fails if a connection does not have the settings it was given.
func readBack(ctx context.Context, db *sql.DB, set []setting) error {
	for _, s := range set {
		var got string
		if err := db.QueryRowContext(ctx, "PRAGMA "+s.name).Scan(&got); err != nil {
			return fmt.Errorf("setting %s: %w", s.name, err)
		}
		if got != s.value {
			return fmt.Errorf("SQLite has %s at %s and must have it at %s; the data file may be on a drive that does not allow it: put it on a disk of this machine", s.name, got, s.value)
		}
	}
	return nil
}

// createIfMissing makes an empty data file. It is made beside its place and
// then put there whole, so that a file at path always carries our mark.
func createIfMissing(ctx context.Context, path string) (err error) {
	if _, err := os.Stat(path); !errors.Is(err, fs.ErrNotExist) {
		return nil // look says what is wrong with it, if anything
	}
	if _, err := os.Stat(path + "-wal"); err == nil {
		return fmt.Errorf("%w: %s is gone and its log %s-wal is not; put the data file back beside its log, or move the log away", shop.ErrForeign, path, filepath.Base(path))
	}
	folder, name := filepath.Split(path)
	f, err := os.CreateTemp(folder, name+".new*")
	if err != nil {
		return fmt.Errorf("cannot make the data file %s; check that its folder exists and may be written to (%w)", path, err)
	}
	made := f.Name()
	defer func() { err = errors.Join(err, file.Remove(made)) }()
	if err := f.Close(); err != nil {
		return err
	}
	if err := fill(ctx, made); err != nil {
		return words(path, err)
	}
	err = file.PlaceNew(made, path)
	if errors.Is(err, fs.ErrExist) { // another program was quicker
		err = file.SyncFolder(folder)
	}
	return err
}

// fill makes an empty file a data file.
func fill(ctx context.Context, path string) error {
	db, err := openWriter(ctx, path)
	if err != nil {
		return err
	}
	_, err = db.ExecContext(ctx, fmt.Sprintf("PRAGMA application_id = %d", applicationID))
	if err == nil {
		err = migrate(ctx, db, path)
	}
	return errors.Join(err, db.Close())
}

// look refuses a file that is not ours or is newer, without leaving a trace. It
// reads the file as one that nobody changes: no locks, no log. So it may see
// the mark and format of a moment ago, which are the ones that matter: the mark
// never changes and migrate looks at the format again.
func look(ctx context.Context, path string) error {
	switch info, err := os.Stat(path); {
	case err != nil:
		return fmt.Errorf("the data file cannot be found (%w)", err)
	case !info.Mode().IsRegular():
		return foreign(path, "is not a file")
	case info.Size() == 0:
		return foreign(path, "is empty")
	}
	m, err := marks(ctx, path, "immutable", "1")
	if err != nil || m.id != applicationID {
		if logs := logsOf(path); len(logs) > 0 {
			m, err = marksInLog(ctx, path, logs)
		}
	}
	switch {
	case code(err) == codeNotADB:
		return foreign(path, "is no SQLite database")
	case err != nil:
		return words(path, err)
	case m.id != applicationID:
		return foreign(path, "is the database of another program")
	case m.format > len(formats):
		return newer(path, m.format)
	}
	return safe(m.version)
}

// mark is what a file says it is.
type mark struct {
	id, format int
	version    string // of SQLite
}

// marks reads them. With writable_schema SQLite does not mind a file that another
// program is just making longer.
func marks(ctx context.Context, path string, options ...string) (m mark, err error) {
	db, err := sql.Open("sqlite", dsn(path, []setting{{"writable_schema", "1"}},
		append([]string{"mode", "ro", "_defensive", "0"}, options...)...))
	if err != nil {
		return m, err
	}
	defer db.Close()
	for query, to := range map[string]any{
		"PRAGMA application_id":   &m.id,
		"PRAGMA user_version":     &m.format,
		"SELECT sqlite_version()": &m.version,
	} {
		if err := db.QueryRowContext(ctx, query).Scan(to); err != nil {
			return m, err
		}
	}
	return m, nil
}

// logsOf are the logs of a file: what is to be done to it, and what is to be undone.
func logsOf(path string) (ends []string) {
	for _, end := range []string{"-wal", "-journal"} {
		if log, err := os.Stat(path + end); err == nil && log.Size() > 0 {
			ends = append(ends, end)
		}
	}
	return ends
}

// marksInLog reads them as the logs have them. Where the power failed while a log
// was being folded into the file, or while the file was first opened after it was
// backed up, its beginning may be rubbish and the log is what counts. To leave no
// trace it looks at a copy.
func marksInLog(ctx context.Context, path string, logs []string) (m mark, err error) {
	folder, err := os.MkdirTemp("", "endfloat")
	if err != nil {
		return m, err
	}
	defer os.RemoveAll(folder)
	to := filepath.Join(folder, "look.db")
	for _, end := range append(logs, "") {
		if err := copyPlain(path+end, to+end); err != nil {
			return m, err
		}
	}
	return marks(ctx, to, "mode", "rw")
}

func copyPlain(from, to string) error {
	in, err := os.Open(from)
	if err != nil {
		return err
	}
	defer in.Close()
	out, err := os.OpenFile(to, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o600)
	if err != nil {
		return err
	}
	_, err = io.Copy(out, in)
	return errors.Join(err, out.Close())
}

// safe refuses a SQLite that could damage the file.
func safe(version string) error {
	if semver.Compare("v"+version, oldest) < 0 {
		return fmt.Errorf("this program was built with SQLite %s and needs %s or later; build it again with the versions in go.mod", version, oldest[1:])
	}
	return nil
}

func foreign(path, what string) error {
	return fmt.Errorf("%w: %s %s; name another file, or move this one away", shop.ErrForeign, path, what)
}

func newer(path string, format int) error {
	return fmt.Errorf("%w: %s has format %d and this program knows up to %d; use the newer program", shop.ErrNewer, path, format, len(formats))
}

// renewLog puts a copy of a log that a program has left behind in its place, before
// anything is done with it. The disk may have failed to keep a part of it: the system
// shows that part until the power fails, says at no later sync that it is missing, and a
// file into which half of such a log was folded is damaged. To write over the log itself
// could spoil what the disk has kept. A log that another program is using is left to
// that program, which has done this itself; without room for a copy the log is used as
// it is, and on Windows, which replaces no open file.
func renewLog(ctx context.Context, path string) error {
	log := path + "-wal"
	if info, err := os.Stat(log); err != nil || info.Size() == 0 || runtime.GOOS == "windows" {
		return nil
	}
	db, err := sql.Open("sqlite", dsn(path, []setting{{"busy_timeout", "100"}, {"locking_mode", "exclusive"}}, "mode", "rw"))
	if err != nil {
		return err
	}
	db.SetMaxOpenConns(1)
	var n int
	err = db.QueryRowContext(ctx, "SELECT count(*) FROM sqlite_schema").Scan(&n) // from now on nobody else opens it
	if code(err) == codeBusy {
		return db.Close()
	}
	if err == nil {
		err = replaceByCopy(log)
	}
	if err == nil { // closing would fold it too, and not say that it failed
		_, err = db.ExecContext(ctx, "PRAGMA wal_checkpoint(TRUNCATE)")
	}
	return errors.Join(err, db.Close())
}

func replaceByCopy(log string) error {
	made := log + ".part"
	err := file.Remove(made) // left by one that was cut short
	if err == nil {
		err = copyPlain(log, made)
	}
	if err == nil {
		err = file.Place(made, log)
	}
	if err != nil {
		err = errors.Join(err, file.Remove(made))
	}
	if errors.Is(err, syscall.ENOSPC) {
		return nil
	}
	return err
}

// openWriter opens the one connection that writes. The log has its name for good
// then: SQLite sees to that too, but does not mind if the disk fails to.
func openWriter(ctx context.Context, path string) (*sql.DB, error) {
	db, err := sql.Open("sqlite", dsn(path, writeSettings, "mode", "rw"))
	if err != nil {
		return nil, err
	}
	db.SetMaxOpenConns(1)
	err = readBack(ctx, db, writeSettings)
	if err == nil {
		err = file.SyncFolder(filepath.Dir(path))
	}
	if err != nil {
		return nil, errors.Join(err, db.Close())
	}
	return db, nil
}

// quickCheck looks for damage in the whole file.
func quickCheck(ctx context.Context, db *sql.DB) error {
	var found string
	err := db.QueryRowContext(ctx, "PRAGMA quick_check(1)").Scan(&found)
	if err == nil && found != "ok" {
		err = damage(strings.Join(strings.Fields(found), " "))
	}
	return err
}

// damage is what SQLite's own check found.
type damage string

func (d damage) Error() string { return string(d) }
func (d damage) Code() int     { return codeCorrupt }

// migrate brings an older file to today's format, all or nothing.
func migrate(ctx context.Context, db *sql.DB, path string) error {
	if err := keepOlder(ctx, db, path); err != nil {
		return err
	}
	tx, err := db.BeginTx(ctx, nil)
	if err != nil {
		return err
	}
	defer tx.Rollback() // does nothing after a commit
	var format int
	if err := tx.QueryRowContext(ctx, "PRAGMA user_version").Scan(&format); err != nil {
		return err
	}
	switch {
	case format > len(formats):
		return newer(path, format)
	case format == len(formats):
		return nil
	}
	for _, f := range formats[format:] {
		_, err := tx.ExecContext(ctx, f.sql)
		if err == nil && f.then != nil {
			err = f.then(ctx, tx)
		}
		if err != nil {
			return fmt.Errorf("bringing the data file from format %d to %d: %w", format, len(formats), err)
		}
	}
	if _, err := tx.ExecContext(ctx, fmt.Sprintf("PRAGMA user_version = %d", len(formats))); err != nil {
		return err
	}
	if err := tx.Commit(); err != nil {
		return err
	}
	// From the log into the file itself, where an older program looks.
	_, err = db.ExecContext(ctx, "PRAGMA wal_checkpoint(TRUNCATE)")
	return err
}
