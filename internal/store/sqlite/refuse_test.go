package sqlite

import (
	"database/sql"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"endfloat/internal/shop"
)

// state lists a folder: names, times and bytes.
func state(t *testing.T, folder string) string {
	t.Helper()
	var b strings.Builder
	must(t, filepath.WalkDir(folder, func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		info, err := d.Info()
		if err != nil {
			return err
		}
		fmt.Fprintln(&b, path, info.Mode(), info.ModTime().UnixNano())
		if !d.IsDir() {
			bytes, err := os.ReadFile(path)
			fmt.Fprintf(&b, "%x\n", bytes)
			return err
		}
		return nil
	}))
	return b.String()
}

// A file that is refused is left as it was, and so is the folder around it.
func TestRefusedFileIsUntouched(t *testing.T) {
	mark := fmt.Sprintf("PRAGMA application_id = %d", applicationID)
	write := func(b string) func(*testing.T, string) {
		return func(t *testing.T, path string) { must(t, os.WriteFile(path, []byte(b), 0o644)) }
	}
	for _, c := range []struct {
		name  string
		make  func(t *testing.T, path string)
		kind  error
		words string
	}{
		{"empty", write(""), shop.ErrForeign, "is empty"},
		{"text", write("wire: 1.5 mm\n"), shop.ErrForeign, "is no SQLite database"},
		{"long text", write(strings.Repeat("spacer ", 3000)), shop.ErrForeign, "is no SQLite database"},
		{"header alone", write("SQLite format 3\x00"), shop.ErrForeign, "is no SQLite database"},
		{"folder", func(t *testing.T, path string) { must(t, os.Mkdir(path, 0o755)) }, shop.ErrForeign, "is not a file"},
		{"other program's", func(t *testing.T, path string) {
			raw(t, path, "PRAGMA application_id = 1234", "CREATE TABLE entry (x)")
		}, shop.ErrForeign, "another program"},
		{"nobody's", func(t *testing.T, path string) {
			raw(t, path, "CREATE TABLE x (y)")
		}, shop.ErrForeign, "another program"},
		{"other program's, in use", func(t *testing.T, path string) {
			inUse(t, path, "PRAGMA application_id = 1234", "CREATE TABLE x (y)")
		}, shop.ErrForeign, "another program"},
		{"newer", func(t *testing.T, path string) {
			raw(t, path, mark, "PRAGMA user_version = 4", "CREATE TABLE entry (x)")
		}, shop.ErrNewer, "has format 4 and this program knows up to 3"},
		{"newer, in use", func(t *testing.T, path string) {
			inUse(t, path, mark, "PRAGMA user_version = 7", "CREATE TABLE x (y)")
		}, shop.ErrNewer, "has format 7"},
	} {
		t.Run(c.name, func(t *testing.T) {
			folder := t.TempDir()
			path := filepath.Join(folder, "endfloat.db")
			c.make(t, path)
			before := state(t, folder)
			s, err := Open(ctx, path)
			if err == nil {
				s.Close()
			}
			wantError(t, err, c.kind, path, c.words)
			if after := state(t, folder); after != before {
				t.Errorf("before:\n%.600s\nafter:\n%.600s", before, after)
			}
		})
	}
}

// inUse leaves a database as a program does that is stopped while it writes:
// with a log, and the last table only there.
func inUse(t *testing.T, path string, statements ...string) {
	t.Helper()
	from := filepath.Join(t.TempDir(), "from.db")
	db, err := sql.Open("sqlite", from)
	must(t, err)
	defer db.Close()
	statements = append(statements, "PRAGMA journal_mode = WAL", "CREATE TABLE only_in_the_log (x)")
	for _, s := range statements {
		_, err := db.Exec(s)
		must(t, err)
	}
	for _, end := range []string{"", "-wal", "-shm"} {
		b, err := os.ReadFile(from + end)
		must(t, err)
		must(t, os.WriteFile(path+end, b, 0o644))
	}
}

// The step to a newer format that another program has taken, but only in its
// log, is seen before anything is written.
func TestNewerOnlyInTheLog(t *testing.T) {
	folder := t.TempDir()
	path := filepath.Join(folder, "endfloat.db")
	must(t, open(t, path).Close())
	db, err := sql.Open("sqlite", path)
	must(t, err)
	defer db.Close()
	_, err = db.Exec("PRAGMA user_version = 9")
	must(t, err)
	_, err = Open(ctx, path)
	wantError(t, err, shop.ErrNewer, path, "format 9")
}

// An older file is brought to today's format, all or nothing.
func TestOlderMigrates(t *testing.T) {
	path := filepath.Join(t.TempDir(), "endfloat.db")
	must(t, open(t, path).Close())
	today := formats
	formats = append(formats[:3:3], step{sql: "CREATE TABLE extra (x) STRICT"}, step{sql: "ALTER TABLE summary ADD COLUMN seen INTEGER"})
	defer func() { formats = today }()

	_, err := Open(ctx, path) // "(x) STRICT" lacks a type
	wantError(t, err, nil, "from format 3 to 5")
	raw(t, path, "PRAGMA user_version", "ALTER TABLE summary ADD COLUMN unseen INTEGER")

	formats[3].sql = "CREATE TABLE extra (x INTEGER) STRICT"
	s := open(t, path)
	must(t, s.Append(ctx, one("a", 0, "1")))
	must(t, s.Close())
	raw(t, path, "INSERT INTO extra SELECT seen FROM summary")
	must(t, open(t, path).Close())

	formats = today
	_, err = Open(ctx, path)
	wantError(t, err, shop.ErrNewer, "has format 5")
}

// Damage anywhere in the file is found when it is opened.
func TestDamaged(t *testing.T) {
	path := filepath.Join(t.TempDir(), "endfloat.db")
	s := open(t, path)
	for n := range 200 {
		must(t, s.Append(ctx, one("a", n, fmt.Sprint(n))))
	}
	must(t, s.Close())
	whole, err := os.ReadFile(path)
	must(t, err)

	for name, b := range map[string][]byte{
		"page lost": append(append(append([]byte{}, whole[:4096]...), make([]byte, 4096)...), whole[8192:]...),
		"cut short": whole[:len(whole)-4096],
	} {
		must(t, os.WriteFile(path, b, 0o600))
		_, err := Open(ctx, path)
		wantError(t, err, nil, "the data file", path, "is damaged", "last backup")
		t.Log(name, err)
	}
	must(t, os.WriteFile(path, whole, 0o600))
	must(t, open(t, path).Close())
}

// A blob whose bytes have changed is not handed out.
func TestDamagedBlob(t *testing.T) {
	path := filepath.Join(t.TempDir(), "endfloat.db")
	s := open(t, path)
	key, err := s.PutBlob(ctx, nil, []byte("photo"))
	must(t, err)
	raw(t, path, "UPDATE chunk SET bytes = x'00'")
	_, err = s.Blob(ctx, key)
	wantError(t, err, nil, "damaged", key[:12])
}

func TestNoFolder(t *testing.T) {
	_, err := Open(ctx, filepath.Join(t.TempDir(), "none", "endfloat.db"))
	wantError(t, err, fs.ErrNotExist, "cannot make the data file", "check that its folder exists")
}
