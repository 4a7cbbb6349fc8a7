package web

import (
	"net/http"
	"reflect"

	"endfloat/internal/job"
	"endfloat/internal/setup"
	"endfloat/internal/shop"
)

type earlyJSON struct {
	What string `json:"what"`
	Why  string `json:"why"`
	Unit string `json:"unit,omitempty"`
	Seen bool   `json:"seen_not_measured"`
	Done bool   `json:"done"`
	Late bool   `json:"too_late"`
}

type receiveJSON struct {
	Tasks    []shop.ReceiveTask `json:"tasks"`
	Received job.Received       `json:"received"`
	Before   []earlyJSON        `json:"before"`
}

// apiReceive says what is recorded of how a unit came in.
func (s *server) apiReceive(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	out := receiveJSON{d.Receiving(), d.AsReceived(), []earlyJSON{}}
	for _, e := range d.Before() {
		j := earlyJSON{What: e.What, Why: e.Why, Seen: e.Measure == nil, Done: e.Done, Late: e.Late}
		if e.Measure != nil {
			j.Unit = e.Measure.Unit.Symbol
		}
		out.Before = append(out.Before, j)
	}
	v.json(http.StatusOK, "application/json", out)
	return nil
}

type cleanJSON struct {
	Basket   string   `json:"basket"`
	In       []string `json:"in"`
	Unwashed []string `json:"unwashed"`
	Metal    string   `json:"case_metal,omitempty"`
}

// apiClean says what is in the wash basket of a unit.
func (s *server) apiClean(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	v.json(http.StatusOK, "application/json", basketOf(d))
	return nil
}

func basketOf(d *shop.Desk) cleanJSON {
	return cleanJSON{d.Basket(), append([]string{}, d.InBasket()...), append([]string{}, d.Unwashed()...), d.Box.CaseMetal(d.Built)}
}

type intoBasketJSON struct {
	ID  string `json:"id,omitempty"`
	Tag string `json:"tag"`
}

// apiBasket puts a piece into the wash basket of a unit.
func (s *server) apiBasket(v *visit) error {
	var in intoBasketJSON
	if err := v.asked(&in); err != nil {
		return err
	}
	d, err := v.open()
	if err != nil {
		return err
	}
	f, err := s.sh.IntoBasket(v.r.Context(), v.byOf(sent{ID: in.ID, By: v.whoName(), Device: v.deviceName()}), d.Book, in.Tag)
	if err != nil {
		return err
	}
	if f.Stop {
		return invalid("STOP: %s belongs to %s. Put it back: %s", f.Tag, f.Whose(), f.Lies())
	}
	if d, err = v.open(); err != nil {
		return err
	}
	v.json(http.StatusOK, "application/json", basketOf(d))
	return nil
}

type lookJSON struct {
	At   string `json:"at"`
	Bad  string `json:"against_it"`
	Saw  string `json:"saw,omitempty"`
	Says string `json:"says,omitempty"`
}

type setJSON struct {
	Values []string  `json:"values"`
	SI     []float64 `json:"si"`
	With   string    `json:"with,omitempty"`
	Entry  int       `json:"entry"`
	Holds  bool      `json:"holds"`
}

type measuredJSON struct {
	What   string    `json:"what"`
	Wanted string    `json:"wanted,omitempty"`
	From   string    `json:"from,omitempty"`
	Text   string    `json:"text,omitempty"`
	Guard  float64   `json:"guard_band_si,omitempty"`
	Word   string    `json:"word,omitempty"`
	Sets   []setJSON `json:"sets"`
}

type inspectedJSON struct {
	Position string         `json:"position"`
	Name     string         `json:"name"`
	Word     string         `json:"word,omitempty"`
	Hangs    string         `json:"hangs_on,omitempty"`
	Open     int            `json:"open"`
	Unwashed bool           `json:"unwashed"`
	Looks    []lookJSON     `json:"looks"`
	Reads    []measuredJSON `json:"measured"`
}

type looksJSON struct {
	Parts []inspectedJSON `json:"parts"`
}

// apiLook says of every part what to look at and measure, what was seen and read,
// and what it comes to.
func (s *server) apiLook(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	out := looksJSON{[]inspectedJSON{}}
	for _, in := range d.Inspections() {
		out.Parts = append(out.Parts, inspectedOf(d, in))
	}
	v.json(http.StatusOK, "application/json", out)
	return nil
}

func inspectedOf(d *shop.Desk, in shop.Inspection) inspectedJSON {
	j := inspectedJSON{Position: in.Position.ID, Name: in.Position.Name, Word: in.Word, Hangs: in.Hangs, Open: in.Open, Unwashed: in.Unwashed, Looks: []lookJSON{}, Reads: []measuredJSON{}}
	for _, l := range in.Looks {
		k := lookJSON{At: l.At, Bad: l.Bad}
		if l.Done != nil {
			k.Saw, k.Says = l.Done.Is.Saw, l.Done.Is.Says
		}
		j.Looks = append(j.Looks, k)
	}
	for _, r := range in.Reads {
		m := measuredJSON{What: r.Name, Guard: r.Guard, Word: r.Word(), Text: r.Judge.Text, Sets: []setJSON{}}
		if l := r.Limit; l != nil {
			lo, hi, hasLo, hasHi := l.Band.At(d.Built)
			m.Wanted, m.From = setup.Range(lo, hi, hasLo, hasHi, r.Unit), l.From
		}
		for _, set := range r.Sets {
			m.Sets = append(m.Sets, setJSON{append([]string{}, set.Is.Values...), append([]float64{}, set.Is.SI...), set.Is.With, set.Seq, d.Valid(set)})
		}
		j.Reads = append(j.Reads, m)
	}
	return j
}

type triedJSON struct {
	Ring  string   `json:"ring"`
	Cone  string   `json:"cone"`
	SI    float64  `json:"si"`
	U     float64  `json:"u_si"`
	Word  string   `json:"word,omitempty"`
	Sets  []string `json:"sets"`
	Goes  bool     `json:"goes_here"`
	Entry int      `json:"entry"`
}

type ringsJSON struct {
	Rings  []string    `json:"rings"`
	Cones  []string    `json:"cones"`
	Tried  []triedJSON `json:"tried"`
	Lost   []string    `json:"without"`
	Says   []string    `json:"says"`
	Wanted string      `json:"wanted,omitempty"`
	From   string      `json:"from,omitempty"`
}

// apiRings gives the gaps of rings on cones and the best pairing of those tried.
func (s *server) apiRings(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	t, err := s.sh.Rings(v.r.Context(), d, v.r.URL.Query()["also"]...)
	if err != nil {
		return err
	}
	v.json(http.StatusOK, "application/json", ringsOf(t))
	return nil
}

func ringsOf(t *shop.RingTable) ringsJSON {
	tags := func(es []shop.RingEnd) []string {
		out := []string{}
		for _, e := range es {
			out = append(out, e.Tag)
		}
		return out
	}
	out := ringsJSON{tags(t.Rings), tags(t.Cones), []triedJSON{}, tags(t.Lost), append([]string{}, t.Says...), t.Wanted, t.From}
	for i, row := range t.Cells {
		for j, c := range row {
			if c != nil {
				out.Tried = append(out.Tried, triedJSON{t.Rings[i].Tag, t.Cones[j].Tag, c.SI, c.U, c.Word, c.Sets, t.Best[i] == j, c.Seq})
			}
		}
	}
	return out
}

// receiveOperation describes the routes of receiving, cleaning and inspecting.
func receiveOperation(pattern string) object {
	shapeOf := func(v any) object { return schemaOf(reflect.TypeOf(v)) }
	switch pattern {
	case "GET /api/job/{book}/receive":
		return operation("receive", "What is recorded of how a unit came in, what is still to be, and the readings to make before anything is undone with why each matters. It is written with entries of the kinds received, read, estimate and approved.", shapeOf(receiveJSON{}))
	case "GET /api/job/{book}/clean":
		return operation("clean", "What is in the unit's wash basket, and what came off and has not been washed. Cleaning and repairs are written with entries of the kinds cleaned and repaired.", shapeOf(cleanJSON{}))
	case "POST /api/job/{book}/basket":
		op := operation("basket", "Put what a tag or label names into the unit's wash basket. What belongs to another unit is refused, and nothing is recorded.", shapeOf(cleanJSON{}))
		op["requestBody"] = body(shapeOf(intoBasketJSON{}))
		return op
	case "GET /api/job/{book}/look":
		return operation("look", "Every part with what to look at and measure, what was seen and read, the verdict (good, plan, replace, too close to call) and the number that it hangs on. It is written with entries of the kinds looked and read.", shapeOf(looksJSON{}))
	case "GET /api/job/{book}/rings":
		op := operation("rings", "The gaps of rings on cones that were tried, and the best pairing: fewest gears without a good ring, then most wear left. It is written with entries of the kind gap.", shapeOf(ringsJSON{}))
		op["parameters"] = []object{{"name": "also", "in": "query", "description": "tag of a further ring or gear, new or of a donor; may stand several times", "schema": text()}}
		return op
	case "GET /api/people":
		return operation("people", "Everybody the workshop knows, and how they are reached.", shapeOf(peopleJSON{}))
	case "POST /api/people":
		op := operation("keep-person", "Add somebody, or mend the one whose key is given.", shapeOf(shop.Contact{}))
		contact := shapeOf(shop.Contact{})
		contact["required"] = []string{"name"}
		op["requestBody"] = body(contact)
		return op
	}
	return object{} // a test finds a route that is not described
}
