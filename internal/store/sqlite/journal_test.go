package sqlite

import (
	"context"
	"database/sql"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"
)

// A backup has no log before it is first opened: what SQLite then changes at its
// beginning it could undo by a journal. Where the power fails in the midst of that the
// beginning may be rubbish, and the file is opened all the same.
func TestJournalUndone(t *testing.T) {
	folder := t.TempDir()
	s := open(t, filepath.Join(folder, "endfloat.db"))
	for n := range 200 {
		must(t, s.Append(ctx, one("a", n, fmt.Sprint(n))))
	}
	backup := filepath.Join(folder, "backup.db")
	must(t, s.Backup(ctx, backup))
	must(t, s.Close())

	cut := quickFolder(t)
	db, err := sql.Open("sqlite", "file:"+filepath.ToSlash(backup)+"?_pragma=cache_size(1)")
	must(t, err)
	db.SetMaxOpenConns(1)
	tx, err := db.BeginTx(context.Background(), nil)
	must(t, err)
	for _, half := range []string{"PRAGMA user_version = 99", "CREATE TABLE other (x)", "INSERT INTO other VALUES (zeroblob(300000))"} {
		_, err := tx.Exec(half) // some of it is in the file before it is done
		must(t, err)
	}
	for _, end := range []string{"", "-journal"} {
		b, err := os.ReadFile(backup + end)
		must(t, err)
		if end == "" {
			rnd := rand.New(rand.NewPCG(1, 1))
			for i := range 512 {
				b[i] = byte(rnd.Uint32())
			}
		}
		must(t, os.WriteFile(filepath.Join(cut, "backup.db"+end), b, 0o600))
	}
	must(t, tx.Rollback())
	must(t, db.Close())

	was := names(t, cut)
	must(t, look(ctx, filepath.Join(cut, "backup.db")))
	if now := names(t, cut); fmt.Sprint(now) != fmt.Sprint(was) {
		t.Errorf("it was only looked at, and then %q are there", now)
	}
	s = open(t, filepath.Join(cut, "backup.db"))
	ls, err := s.Lines(ctx, "a", 0)
	must(t, err)
	if len(ls) != 200 || ls[7].ID != "7" {
		t.Errorf("%d lines", len(ls))
	}
}
