package shop

import (
	"context"
	"fmt"
	"strings"
	"time"
)

// soundly begins the note of a check that found nothing.
const soundly = "sound: "

// NoteOfCheck is what is kept of a check of all books.
func NoteOfCheck(err error, counted string) string {
	if err != nil {
		return err.Error()
	}
	return soundly + counted
}

// Upkeep is how the store was looked after, in a sentence, and whether something
// must be done about it; "" for a store that keeps no count of that.
func (sh *Shop) Upkeep(ctx context.Context) (says string, alarm bool, err error) {
	s, keeps := sh.store.(Cared)
	if !keeps {
		return "", false, nil
	}
	all, err := s.Cares(ctx)
	if err != nil {
		return "", false, err
	}
	for _, c := range all {
		if c.What == "check" && !strings.HasPrefix(c.Note, soundly) {
			return "The check of all books found damage: " + c.Note + ". Stop working on this file, and restore a copy beside it.", true, nil
		}
	}
	last, ok, err := sh.LastProven(ctx)
	const most = 7 * 24 * time.Hour
	switch {
	case err != nil:
		return "", false, err
	case !ok:
		return "No copy of this workshop has been made yet. Make one on another disk: endfloat backup FILE.", true, nil
	case sh.now().Sub(last.At) > most:
		return fmt.Sprintf("The last proven copy is %d days old. Make one on another disk: endfloat backup FILE.", int(sh.now().Sub(last.At).Hours()/24)), true, nil
	}
	return "Last copy, read back whole: " + last.At.Local().Format("2 Jan, 15:04") + ".", false, nil
}

// LastProven is the last backup or restore that was read back whole and found as
// it was written; ok is false where there never was one, or the store keeps no
// count of them.
func (sh *Shop) LastProven(ctx context.Context) (last Care, ok bool, err error) {
	s, keeps := sh.store.(Cared)
	if !keeps {
		return Care{}, false, nil
	}
	all, err := s.Cares(ctx)
	for _, c := range all {
		if (c.What == "backup" || c.What == "restore") && c.At.After(last.At) {
			last, ok = c, true
		}
	}
	return last, ok, err
}

// Ready reports whether the store can be read.
func (sh *Shop) Ready(ctx context.Context) error {
	_, err := sh.store.FindTag(ctx, "ready?")
	return err
}
