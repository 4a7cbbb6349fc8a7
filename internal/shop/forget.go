package shop

import (
	"context"
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strings"

	"endfloat/internal/job"
)

// Forgotten is what was deleted for a person, and what only a hand can mend.
type Forgotten struct {
	Names    int    // copies of the name and of how to reach them
	Mentions []Told // entries in whose own words the name stands: books are only added to
}

// ForgetPerson deletes a name, and how that person is reached, for good: wherever a
// book refers to them "(name deleted)" stands from then on. Books stay whole, for
// only the key of the name is in them. What somebody wrote into a note by hand
// cannot be taken out of a book; it is listed. Backups and exports made before keep
// the name until they are thinned or deleted.
func (sh *Shop) ForgetPerson(ctx context.Context, by By, name string) (*Forgotten, error) {
	if err := by.role().lets(by.role() == Owner, "delete a name", Owner); err != nil {
		return nil, err
	}
	name = strings.TrimSpace(name)
	if name == "" {
		return nil, wrap(ErrInvalid, "name: say whose name is to be deleted")
	}
	keys, err := sh.keysOf(ctx, name)
	if err != nil {
		return nil, err
	}
	if len(keys) == 0 {
		return nil, wrap(ErrNotFound, "nobody of the name %s is kept; see the list of people", clipped(name))
	}
	for _, k := range keys {
		if err := sh.drop(ctx, k); err != nil {
			return nil, err
		}
	}
	if _, err := sh.Record(ctx, by, StoresBook, job.Noted{Text: fmt.Sprintf("A person's name was deleted on request (%.8s)", keys[0])}); err != nil {
		return nil, fmt.Errorf("the name was deleted, and that could not be noted: %w", err)
	}
	found, err := sh.Search(ctx, strings.Join(firstWords(name), " "))
	if err != nil {
		return nil, err
	}
	return &Forgotten{len(keys), found.Entries}, nil
}

func firstWords(name string) []string {
	w := strings.Fields(name)
	return w[:min(len(w), mostWords)]
}

// ForgetPhoto deletes a photo for good. Where it was, the book says so.
func (sh *Shop) ForgetPhoto(ctx context.Context, by By, key string) error {
	if err := by.role().lets(by.role() == Owner, "delete a photo", Owner); err != nil {
		return err
	}
	b, err := sh.store.Blob(ctx, key)
	if err != nil {
		return wrap(ErrNotFound, "there is no photo %.12s; its page shows its key", key)
	}
	if !strings.HasPrefix(string(b), "\xff\xd8") {
		return wrap(ErrInvalid, "%.12s is no photo, so it stays", key)
	}
	if err := sh.drop(ctx, key); err != nil {
		return err
	}
	_, err = sh.Record(ctx, by, StoresBook, job.Noted{Text: fmt.Sprintf("A photo was deleted on request (%.8s)", key)})
	return err
}

func (sh *Shop) drop(ctx context.Context, key string) error {
	if err := sh.store.DropBlob(ctx, key); err != nil {
		return fmt.Errorf("%.8s: %w", key, err)
	}
	sh.mu.Lock()
	delete(sh.names, key)
	sh.mu.Unlock()
	return nil
}

// keysOf are the keys under which a name, and what is kept with it, are kept: those
// that any book refers to.
func (sh *Shop) keysOf(ctx context.Context, name string) ([]string, error) {
	cited, err := sh.cited(ctx)
	if err != nil {
		return nil, err
	}
	d, err := sh.Open(ctx, StoresBook)
	if err != nil {
		return nil, err
	}
	var keys []string
	for _, k := range slices.Sorted(maps.Keys(cited)) {
		b, err := sh.store.Blob(ctx, k)
		var p struct{ Name string }
		if err == nil && len(b) < 4096 && json.Unmarshal(b, &p) == nil && strings.EqualFold(p.Name, name) {
			keys = append(keys, k)
		}
	}
	for n := -1; n != len(keys); { // a mended name leads on to the one before
		n = len(keys)
		for _, e := range d.Entries {
			var p job.Person
			if e.Kind != p.Kind() || json.Unmarshal(e.Body, &p) != nil {
				continue
			}
			if !slices.Contains(keys, p.Person) && (p.Was == "" || !slices.Contains(keys, p.Was)) {
				continue
			}
			for _, k := range []string{p.Person, p.Was, p.Contact} {
				if k != "" && !slices.Contains(keys, k) {
					keys = append(keys, k)
				}
			}
		}
	}
	return keys, nil
}
