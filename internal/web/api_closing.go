package web

import (
	"net/http"
	"reflect"

	"endfloat/internal/gearbox"
	"endfloat/internal/shop"
)

type statusJSON struct {
	Says    []string     `json:"says"`
	Earlier []shop.Visit `json:"earlier"`
}

// apiStatus answers "where are we?".
func (s *server) apiStatus(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	earlier, err := s.sh.Earlier(v.r.Context(), d)
	if err != nil {
		return err
	}
	if earlier == nil {
		earlier = []shop.Visit{}
	}
	v.json(http.StatusOK, "application/json", statusJSON{s.sh.Status(d), earlier})
	return nil
}

type fieldJSON struct {
	Key      string   `json:"key"`
	Asks     string   `json:"asks"`
	Choices  []string `json:"choices,omitempty"`
	Unit     string   `json:"unit,omitempty"`
	Optional bool     `json:"optional,omitempty"`
}

type testJSON struct {
	Test   string      `json:"test"`
	Title  string      `json:"title"`
	State  string      `json:"state"`
	Says   string      `json:"says,omitempty"`
	Wanted string      `json:"wanted"`
	From   string      `json:"from"`
	Waits  []string    `json:"waits,omitempty"`
	Fields []fieldJSON `json:"fields"`
}

type testsJSON struct {
	Tests []testJSON `json:"tests"`
}

// apiTests lists the tests of a unit with the fields of an entry of kind "tested".
func (s *server) apiTests(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	out := testsJSON{[]testJSON{}}
	for _, r := range testRows(d) {
		t := testJSON{Test: r.Name, Title: r.Title, State: r.State, Wanted: r.Wanted, From: r.From, Waits: r.Waits, Fields: []fieldJSON{}}
		if r.Done != nil {
			t.Says = r.Done.Is.Says
		}
		for _, f := range r.Fields {
			t.Fields = append(t.Fields, fieldJSON{f.Key, f.Ask, f.Choices, f.Unit, f.Optional})
		}
		out.Tests = append(out.Tests, t)
	}
	v.json(http.StatusOK, "application/json", out)
	return nil
}

type timedJSON struct {
	Do       string   `json:"do"`
	Position string   `json:"position,omitempty"`
	Title    string   `json:"title"`
	From     float64  `json:"from_min"`
	Oven     *float64 `json:"oven_celsius,omitempty"`
	Lasts    float64  `json:"goes_on_for_s,omitempty"`
}

type notTodayJSON struct {
	Title string `json:"title"`
	Why   string `json:"why"`
}

type todayJSON struct {
	Steps []timedJSON    `json:"steps"`
	Not   []notTodayJSON `json:"not"`
	Ends  float64        `json:"ends_min"`
}

func (s *server) apiToday(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	a, err := v.ask()
	if err != nil {
		return err
	}
	t, err := s.sh.Today(v.r.Context(), d, a)
	if err != nil {
		return err
	}
	out := todayJSON{Steps: []timedJSON{}, Not: []notTodayJSON{}, Ends: t.Ends}
	for _, st := range t.Steps {
		j := timedJSON{Do: st.Do, Title: st.Title, From: st.From}
		if st.Position != nil {
			j.Position = st.Position.ID
		}
		if st.Heat != nil {
			j.Oven, j.Lasts = &st.Heat.Oven, st.Heat.InAir
		}
		out.Steps = append(out.Steps, j)
	}
	for _, n := range t.Not {
		out.Not = append(out.Not, notTodayJSON{n.Title, n.Why})
	}
	v.json(http.StatusOK, "application/json", out)
	return nil
}

type reachJSON struct {
	Position string   `json:"position"`
	Off      []string `json:"off"`
	Hours    float64  `json:"hours"`
	Guessed  int      `json:"guessed"`
	New      []string `json:"new"`
	Void     []string `json:"void"`
}

// reachOf says what must come apart to get at a position.
func reachOf(d *shop.Desk, id string) reachJSON {
	r := d.Reach(id)
	out := reachJSON{Position: id, Off: []string{}, Hours: r.Minutes / 60, Guessed: r.Guessed, New: []string{}, Void: append([]string{}, r.Void...)}
	for _, p := range r.Off {
		out.Off = append(out.Off, p.ID)
	}
	for _, p := range r.New {
		out.New = append(out.New, p.ID)
	}
	return out
}

func (s *server) apiReach(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	pos, err := placeOf(d, v.r.FormValue("position"))
	if err != nil {
		return err
	}
	v.json(http.StatusOK, "application/json", reachOf(d, pos.ID))
	return nil
}

type recoveryJSON struct {
	Key   string   `json:"key"`
	Title string   `json:"title"`
	Do    []string `json:"do"`
	Not   string   `json:"not"`
	Care  string   `json:"care,omitempty"`
}

type recoveriesJSON struct {
	Cards  []recoveryJSON `json:"cards"`
	Defers string         `json:"defers"`
}

func (s *server) apiRecovery(v *visit) error {
	out := recoveriesJSON{[]recoveryJSON{}, gearbox.Defers}
	for _, r := range gearbox.Recoveries(v.r.FormValue("kind")) {
		care, _ := gearbox.Caution(r.Care)
		out.Cards = append(out.Cards, recoveryJSON{r.Key, r.Title, r.Do, r.Not, care})
	}
	v.json(http.StatusOK, "application/json", out)
	return nil
}

// closingOperation describes the routes of this file.
func closingOperation(pattern string) object {
	query := func(name, says string) object {
		return object{"name": name, "in": "query", "description": says, "schema": text()}
	}
	switch pattern {
	case "GET /api/job/{book}/status":
		return operation("status", "Where are we? In plain sentences, with the earlier times that this unit was here.", schemaOf(reflect.TypeFor[statusJSON]()))
	case "GET /api/job/{book}/tests":
		return operation("tests", "The proofs and closing tests of a unit. Each is filled in by an entry of kind \"tested\" with a value for every field; what came of it is worked out here.", schemaOf(reflect.TypeFor[testsJSON]()))
	case "GET /api/job/{book}/today":
		op := operation("today", "What can be done in a time, in order; hot fits come in one session of the oven.", schemaOf(reflect.TypeFor[todayJSON]()))
		op["parameters"] = []object{query("minutes", "that there are, 60 if left out"), query("people", "that are here, 1 if left out"), query("oven", "anything: the oven is free")}
		return op
	case "GET /api/job/{book}/reach":
		op := operation("reach", "What must come apart to get at a position as the unit stands, how long that takes there and back, which one-way parts it costs and which settings it voids.", schemaOf(reflect.TypeFor[reachJSON]()))
		op["parameters"] = []object{query("position", "its id")}
		return op
	case "GET /api/recovery":
		op := operation("recovery", "What to do when something has just gone wrong. Common practice, no source.", schemaOf(reflect.TypeFor[recoveriesJSON]()))
		op["parameters"] = []object{query("kind", "of part, such as ball bearing; its cards come first")}
		return op
	}
	return photoOperation(pattern)
}
