package shop

import (
	"cmp"
	"context"
	"crypto/rand"
	"crypto/sha256"
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"endfloat/internal/job"

	"github.com/google/uuid"
)

// Contact is somebody the workshop knows. Name and reach are kept apart from the
// books, so that they can be mended once for all and deleted on request.
type Contact struct {
	Key   string `json:"key"` // of the person; "" = not kept yet
	Name  string `json:"name"`
	Reach string `json:"reach,omitempty"` // telephone, mail, address, as written
	Role  string `json:"role,omitempty"`  // customer, engineer, helper, supplier
}

// PeopleRoles are the roles that are offered; another may be written.
var PeopleRoles = []string{"customer", "engineer", "treasurer", "helper", "supplier", "welder"}

// People lists everybody the workshop knows, by name.
func (sh *Shop) People(ctx context.Context) ([]Contact, error) {
	d, err := sh.Open(ctx, StoresBook)
	if err != nil {
		return nil, err
	}
	out := make([]Contact, 0, len(d.People))
	for _, p := range d.People {
		c := Contact{Key: p.Person, Name: sh.Name(ctx, p.Person), Role: p.Role}
		if c.Reach, err = sh.reach(ctx, p.Contact); err != nil {
			return nil, err
		}
		out = append(out, c)
	}
	slices.SortFunc(out, func(a, b Contact) int {
		return cmp.Or(strings.Compare(strings.ToLower(a.Name), strings.ToLower(b.Name)), strings.Compare(a.Key, b.Key))
	})
	return out, nil
}

// reach reads how somebody is reached; what was deleted on request reads so.
func (sh *Shop) reach(ctx context.Context, key string) (string, error) {
	if key == "" {
		return "", nil
	}
	b, err := sh.store.Blob(ctx, key)
	var c struct{ Reach string }
	if err != nil || json.Unmarshal(b, &c) != nil {
		return "(deleted)", nil
	}
	return c.Reach, nil
}

// KeepPerson adds somebody, or mends one who is known: c.Key says whom. The same
// name is kept once.
func (sh *Shop) KeepPerson(ctx context.Context, by By, c Contact) (Contact, error) {
	c.Name, c.Reach, c.Role = strings.TrimSpace(c.Name), strings.TrimSpace(c.Reach), strings.TrimSpace(c.Role)
	if err := need(c.Name, "name", "write it as it is to stand in the book"); err != nil {
		return c, err
	}
	if len([]rune(c.Name)) > 120 || len([]rune(c.Reach)) > 500 {
		return c, wrap(ErrInvalid, "%s: a name has at most 120 letters and a contact 500", clipped(c.Name))
	}
	people, err := sh.People(ctx)
	if err != nil {
		return c, err
	}
	var old *Contact
	for i, p := range people {
		switch {
		case c.Key == p.Key:
			old = &people[i]
		case strings.EqualFold(p.Name, c.Name):
			return c, wrap(ErrInvalid, "name: %s is known already; mend that one, so that nobody is kept twice", p.Name)
		}
	}
	if c.Key != "" && old == nil {
		return c, wrap(ErrNotFound, "nobody is kept under %.8s; see the list of people", c.Key)
	}
	b := job.Person{Role: c.Role}
	switch {
	case old == nil || old.Name != c.Name:
		if old != nil {
			b.Was = old.Key
		}
		if b.Person, err = sh.person(ctx, c.Name); err != nil {
			return c, err
		}
	default:
		b.Person = old.Key
	}
	if c.Reach != "" {
		if b.Contact, err = sh.salted(ctx, map[string]string{"reach": c.Reach}); err != nil {
			return c, err
		}
	}
	if _, err := sh.Record(ctx, by, StoresBook, b); err != nil {
		return c, err
	}
	c.Key = b.Person
	return c, nil
}

// salted keeps what can be deleted later and returns its key.
func (sh *Shop) salted(ctx context.Context, what map[string]string) (string, error) {
	salt := make([]byte, 16)
	if _, err := rand.Read(salt); err != nil {
		return "", fmt.Errorf("salt: %w", err)
	}
	b, err := json.Marshal(what)
	if err != nil {
		return "", fmt.Errorf("contact: %w", err)
	}
	return sh.store.PutBlob(ctx, salt, b)
}

// PersonNamed finds somebody by name, in any case of letters.
func (sh *Shop) PersonNamed(ctx context.Context, name string) (Contact, bool, error) {
	people, err := sh.People(ctx)
	for _, p := range people {
		if strings.EqualFold(p.Name, strings.TrimSpace(name)) {
			return p, true, err
		}
	}
	return Contact{}, false, err
}

// knownPerson is the key of somebody named in a job, who is kept among the people
// from then on.
func (o *order) knownPerson(name, role string) (string, error) {
	if name = strings.TrimSpace(name); name == "" {
		return "", nil
	}
	if isKey(name) {
		return name, nil
	}
	p, known, err := o.sh.PersonNamed(o.ctx, name)
	if err != nil || known {
		return p.Key, err
	}
	key, err := o.sh.person(o.ctx, name)
	if err != nil {
		return "", err
	}
	if _, err := o.open(StoresBook); err != nil {
		return "", err
	}
	o.also = append(o.also, also{StoresBook, job.Person{Person: key, Role: role}})
	return key, nil
}

// isKey reports whether a text is the key of a blob.
func isKey(s string) bool { return len(s) == 64 && strings.Trim(s, "0123456789abcdef") == "" }

// metPerson checks an entry that makes somebody known: it comes from KeepPerson
// only, for the name itself is never in a book.
func (o *order) metPerson(b job.Person) error {
	if o.desk.Book != StoresBook || !isKey(b.Person) {
		return wrap(ErrInvalid, "people are kept in the stores, by their names; see the page of people")
	}
	return nil
}

// Nth is the same for the nth further entry that one act makes: its id follows from
// the first, so that the act sent again adds nothing.
func (b By) Nth(n int) By {
	id, err := uuid.Parse(b.ID)
	if n == 0 || err != nil {
		return b
	}
	h := sha256.Sum256(fmt.Appendf(nil, "%s %d", id, n))
	copy(id[6:], h[:10]) // the first six bytes keep the time, as RFC 9562 has them
	id[6], id[8] = id[6]&0x0f|0x70, id[8]&0x3f|0x80
	b.ID = id.String()
	return b
}
