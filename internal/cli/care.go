package cli

import (
	"context"
	"errors"
	"fmt"
	"runtime/debug"
	"sync"
	"time"

	"endfloat/internal/shop"
	"endfloat/internal/store/carry"
	"endfloat/internal/store/postgres"
	"endfloat/internal/store/sqlite"
	"endfloat/internal/web"
)

// calm is how long a workshop is served before all of it is read through: whoever
// started it wants to see the first page first.
const calm = 10 * time.Second

// served opens the workshop as open does, says what a person should know of where
// it is kept, and has all of it checked, and copied day by day, meanwhile.
func (a *app) served(u upkeep, fn func(*shop.Shop, web.Options) error) error {
	o, err := u.options(a.err)
	if err != nil {
		return err
	}
	store, err := a.store()
	if err != nil {
		return err
	}
	if text := a.caution(store); text != "" {
		fmt.Fprintln(a.err, "take care: "+text)
	}
	ctx, stop := context.WithCancel(a.ctx)
	var done sync.WaitGroup
	if dir := a.copiesDir(u.copies); dir != "" {
		c := &copies{dir: dir, store: store, now: time.Now}
		done.Go(func() { c.keep(ctx) })
	}
	done.Go(func() {
		select {
		case <-time.After(calm):
			a.checkAll(ctx, store)
		case <-ctx.Done():
		}
	})
	err = fn(shop.New(store, time.Now), o)
	stop()
	done.Wait()
	return errors.Join(err, store.Close())
}

func (a *app) caution(s kept) string {
	if db, ok := s.(*postgres.Store); ok {
		return db.Caution(a.ctx)
	}
	path, _, err := a.dataFile()
	if err != nil {
		return ""
	}
	return sqlite.Caution(path)
}

// checkAll holds every book against its seal and every photo against its key, and
// keeps when it did.
func (a *app) checkAll(ctx context.Context, s kept) {
	n, err := carry.CheckSlowly(ctx, s)
	debug.FreeOSMemory() // what opening and checking took is not needed again
	if ctx.Err() != nil {
		return // stopped: it is no longer of interest
	}
	note := shop.NoteOfCheck(err, n.String())
	if err != nil {
		fmt.Fprintln(a.err, "endfloat: the check of all books: "+note)
	}
	if err := s.Care(ctx, shop.Care{What: "check", At: time.Now(), Note: note}); err != nil && ctx.Err() == nil {
		fmt.Fprintln(a.err, "endfloat: "+err.Error())
	}
}
