package cli

import (
	"context"
	"fmt"
	"log/slog"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"endfloat/internal/file"
	"endfloat/internal/store/carry"
)

// copies are the backups that a served workshop makes by itself: a proven one a day
// in which something changed, thinned as they grow old.
type copies struct {
	dir   string
	store kept
	now   func() time.Time
	seen  string // what the store held when the last one was made
}

const (
	copyStamp = "20060102T150405Z"
	copyEvery = 24 * time.Hour
	copyLook  = 10 * time.Minute // how often it is looked whether one is due
)

// keep makes copies until ctx is done. One that fails is logged and tried again.
func (c *copies) keep(ctx context.Context) {
	for {
		if file, err := c.due(ctx); err != nil {
			slog.Error("no copy of the workshop was made", "dir", c.dir, "err", err)
		} else if file != "" {
			slog.Info("a copy of the workshop was made and read back whole", "file", file)
		}
		select {
		case <-ctx.Done():
			return
		case <-time.After(copyLook):
		}
	}
}

// due makes a copy if the newest is a day old and something changed since, then
// thins. It returns the file made, "" if none was due.
func (c *copies) due(ctx context.Context) (string, error) {
	if err := file.Folder(c.dir, 0o700); err != nil {
		return "", err
	}
	have, left, err := c.list()
	if err != nil {
		return "", err
	}
	now := c.now().UTC()
	if n := len(have); n > 0 && now.Sub(have[n-1]) < copyEvery {
		return "", nil
	}
	holds, err := c.holds(ctx)
	if err != nil || holds == c.seen || holds == "" {
		return "", err
	}
	for _, name := range left {
		if err := file.Remove(filepath.Join(c.dir, name)); err != nil {
			return "", fmt.Errorf("what a copy that was cut short left is in the way: %w", err)
		}
	}
	made := c.file(now)
	if _, err := backUp(ctx, c.store, made, carry.CheckSlowly); err != nil {
		return "", err
	}
	c.seen = holds
	for _, t := range thin(append(have, now)) {
		if err := os.Remove(c.file(t)); err != nil {
			return made, fmt.Errorf("an old copy stays: %w", err)
		}
	}
	return made, nil
}

// holds says in a word what the store holds: where each book stands.
func (c *copies) holds(ctx context.Context) (string, error) {
	sums, err := c.store.Summaries(ctx)
	var b strings.Builder
	for _, s := range sums {
		fmt.Fprintf(&b, "%q %d ", s.Book, s.Seq)
	}
	return b.String(), err
}

func (c *copies) file(t time.Time) string {
	return filepath.Join(c.dir, "endfloat-"+t.Format(copyStamp)+".db")
}

// list returns when the copies of the folder were made, oldest first, and the names
// of what those that were cut short have left. Files that are not ours are left alone.
func (c *copies) list() (have []time.Time, left []string, err error) {
	files, err := os.ReadDir(c.dir)
	if err != nil {
		return nil, nil, err
	}
	for _, f := range files {
		stamp, ours := strings.CutPrefix(f.Name(), "endfloat-")
		stamp, end, db := strings.Cut(stamp, ".db")
		t, err := time.Parse(copyStamp, stamp)
		switch {
		case err != nil || !ours || !db:
		case end == "":
			have = append(have, t)
		case strings.HasPrefix(end, ".part") && c.now().Sub(t).Abs() > copyLook: // else another program may be at it
			left = append(left, f.Name())
		}
	}
	slices.SortFunc(have, time.Time.Compare)
	return have, left, nil
}

// thin returns which of some copies, oldest first, may go: the newest always stays,
// and besides the last of each of the last seven days, five weeks and twelve months
// that have one, and of every year.
func thin(have []time.Time) (drop []time.Time) {
	keep := map[time.Time]bool{}
	for _, p := range []struct {
		most int
		of   func(time.Time) string
	}{
		{7, func(t time.Time) string { return t.Format("2006-01-02") }},
		{5, func(t time.Time) string { y, w := t.ISOWeek(); return fmt.Sprint(y, w) }},
		{12, func(t time.Time) string { return t.Format("2006-01") }},
		{len(have), func(t time.Time) string { return t.Format("2006") }},
	} {
		last := map[string]bool{}
		for _, t := range slices.Backward(have) {
			if of := p.of(t); !last[of] && len(last) < p.most {
				last[of], keep[t] = true, true
			}
		}
	}
	for _, t := range have {
		if !keep[t] {
			drop = append(drop, t)
		}
	}
	return drop
}
