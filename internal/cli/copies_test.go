package cli

import (
	"context"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"endfloat/internal/job"
	"endfloat/internal/shop"
	"endfloat/internal/store/carry"
	"endfloat/internal/store/sqlite"
)

// Over three years of a copy a day few stay, and of every age one.
func TestThin(t *testing.T) {
	var have []time.Time
	day := time.Date(2024, 1, 1, 17, 0, 0, 0, time.UTC)
	for range 3 * 365 {
		day = day.Add(24*time.Hour + 11*time.Minute)
		have = append(have, day)
		for _, x := range thin(have) {
			if x.Equal(day) {
				t.Fatalf("the newest, of %s, is dropped", day)
			}
			have = slices.DeleteFunc(have, x.Equal)
		}
		if len(have) > 7+5+12+4 {
			t.Fatalf("%s: %d copies", day, len(have))
		}
	}
	ages := []struct {
		at   time.Duration
		near time.Duration
	}{{24 * time.Hour, 25 * time.Hour}, {6 * 24 * time.Hour, 25 * time.Hour}, {28 * 24 * time.Hour, 8 * 24 * time.Hour}, {300 * 24 * time.Hour, 32 * 24 * time.Hour}, {700 * 24 * time.Hour, 366 * 24 * time.Hour}}
	for _, a := range ages {
		want := day.Add(-a.at)
		if !slices.ContainsFunc(have, func(x time.Time) bool { return x.Sub(want).Abs() <= a.near }) {
			t.Errorf("no copy of about %s stays; there are %v", want, have)
		}
	}
	if got := thin(nil); got != nil {
		t.Errorf("of none %v may go", got)
	}
}

// A copy is made when one is due and something changed, it is good, and a file of
// somebody else's in the folder stays.
func TestCopies(t *testing.T) {
	ctx, dir := context.Background(), t.TempDir()
	s, err := sqlite.Open(ctx, filepath.Join(dir, "bench.db"))
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	now := time.Date(2026, 3, 1, 8, 0, 0, 0, time.UTC)
	c := &copies{dir: filepath.Join(dir, "copies"), store: s, now: func() time.Time { return now }}
	made := func(want bool, when string) string {
		t.Helper()
		file, err := c.due(ctx)
		if err != nil {
			t.Fatalf("%s: %v", when, err)
		}
		if (file != "") != want {
			t.Fatalf("%s: made %q, want one: %v", when, file, want)
		}
		return file
	}
	add := func(after int) {
		t.Helper()
		id := string(rune('a' + after))
		if err := s.Append(ctx, shop.Add{Book: "linnet", After: after, Lines: []job.Line{{ID: id, Bytes: []byte(`{"id":"` + id + `"}`)}}}); err != nil {
			t.Fatal(err)
		}
	}
	made(false, "while nothing is kept")
	add(0)
	first := made(true, "after the first entry")
	if n, err := prove(ctx, first, carry.Check); err != nil || n.Entries != 1 {
		t.Fatalf("the copy holds %v, %v", n, err)
	}
	other := filepath.Join(c.dir, "endfloat-holiday.db")
	if err := os.WriteFile(other, []byte("mine"), 0o600); err != nil {
		t.Fatal(err)
	}
	add(1)
	for _, end := range []string{"", ".part123", "-wal"} { // the power failed while a copy was made
		if err := os.WriteFile(filepath.Join(c.dir, "endfloat-20260228T075959Z.db.part"+end), []byte("half"), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	made(false, "within the day")
	now = now.Add(25 * time.Hour)
	made(true, "a day later")
	now = now.Add(25 * time.Hour)
	made(false, "with nothing changed")
	for after := 2; after < 20; after++ {
		add(after)
		now = now.Add(25 * time.Hour)
		made(true, "day by day")
	}
	have, left, err := c.list()
	if err != nil || len(have) < 7 || len(have) > 13 || len(left) > 0 {
		t.Errorf("%d copies after three weeks, and %q left, %v", len(have), left, err)
	}
	if _, err := os.Stat(other); err != nil {
		t.Errorf("a file that is not ours is gone: %v", err)
	}
	cares, err := s.Cares(ctx)
	if err != nil || len(cares) == 0 || cares[0].What != "backup" {
		t.Errorf("the store does not remember its copies: %v, %v", cares, err)
	}
}
