package web

import (
	"net/http"
	"net/url"
	"strings"

	"endfloat/internal/shop"
)

// People are the names that every field for a name offers.
func (f frame) People() []string {
	if f.people == nil {
		return nil
	}
	return f.people()
}

// people are the names of everybody the workshop knows. They are a help: a page
// stands without them.
func (v *visit) people() []string {
	if v.me.ID == "" && v.me.Role == "" {
		return nil // seen before pairing
	}
	all, err := v.s.sh.People(v.r.Context())
	if err != nil {
		return nil
	}
	var names []string
	for _, p := range all {
		names = append(names, p.Name)
	}
	return names
}

type peoplePage struct {
	frame
	All   []shop.Contact
	Roles []string
	Mend  shop.Contact // who is being mended
}

// people lists everybody the workshop knows.
func (s *server) people(v *visit) error {
	all, err := s.sh.People(v.r.Context())
	if err != nil {
		return err
	}
	p := peoplePage{frame: v.frame("People"), All: all, Roles: shop.PeopleRoles}
	p.Live = shop.StoresBook
	for _, c := range all {
		if c.Key == v.r.FormValue("key") {
			p.Mend = c
		}
	}
	return v.show("people", p)
}

// keepPerson adds somebody or mends one.
func (s *server) keepPerson(v *visit) error {
	err := v.form()
	if err == nil {
		_, err = s.sh.KeepPerson(v.r.Context(), v.by(), shop.Contact{Key: v.r.FormValue("key"), Name: v.r.FormValue("name"), Reach: v.r.FormValue("reach"), Role: v.r.FormValue("role")})
	}
	if err == nil {
		return v.go303("/people")
	}
	if err := v.refused("person", err); err != nil {
		return err
	}
	return s.people(v)
}

type peopleJSON struct {
	People []shop.Contact `json:"people"`
}

func (s *server) apiPeople(v *visit) error {
	all, err := s.sh.People(v.r.Context())
	if err != nil {
		return err
	}
	v.json(http.StatusOK, "application/json", peopleJSON{all})
	return nil
}

func (s *server) apiKeepPerson(v *visit) error {
	var c shop.Contact
	if err := v.asked(&c); err != nil {
		return err
	}
	c, err := s.sh.KeepPerson(v.r.Context(), v.byOf(sent{By: v.whoName(), Device: v.deviceName()}), c)
	if err != nil {
		return err
	}
	v.json(http.StatusOK, "application/json", c)
	return nil
}

// query builds an address with what follows the question mark.
func query(path string, kv ...string) string {
	q := url.Values{}
	for i := 0; i+1 < len(kv); i += 2 {
		if kv[i+1] != "" {
			q.Set(kv[i], kv[i+1])
		}
	}
	if len(q) == 0 {
		return path
	}
	return path + "?" + q.Encode()
}

// trimmed is a field of a form without the space around it.
func (v *visit) trimmed(key string) string { return strings.TrimSpace(v.r.FormValue(key)) }
