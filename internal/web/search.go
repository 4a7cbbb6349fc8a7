package web

import (
	"cmp"
	"encoding/json"
	"net/http"
	"reflect"
	"time"

	"endfloat/internal/job"
	"endfloat/internal/plan"
	"endfloat/internal/shop"
)

// searchPage is what a search of the whole workshop found.
type searchPage struct {
	frame
	Q     string
	Found *shop.Results
	Hits  []hitRow
}

type hitRow struct{ Href, Unit, Letter, Tape, When, Says string }

// search looks through all books.
func (s *server) search(v *visit) error {
	p := searchPage{frame: v.frame("Search"), Q: v.r.FormValue("q")}
	if p.Q == "" {
		return v.show("search", p)
	}
	found, err := s.sh.Search(v.r.Context(), p.Q)
	if err != nil {
		if err := v.refused("search", err); err != nil {
			return err
		}
		p.frame = v.frame("Search")
		return v.show("search", p)
	}
	p.Found = found
	desks := map[string]*shop.Desk{}
	for _, h := range found.Entries {
		d := desks[h.Row.Book]
		if d == nil { // not opened: only the names of its positions are wanted
			box, _ := s.sh.Box(v.r.Context(), h.Row.Type) // without it their ids stand
			d = &shop.Desk{View: &plan.View{State: &job.State{Box: box}}}
			desks[h.Row.Book] = d
		}
		href := "/stores"
		if h.Row.Book != shop.StoresBook {
			href = "/job/" + h.Row.Book
			if at := field(h.Entry, "position"); at != "" {
				href += "/at/" + at
			}
		}
		p.Hits = append(p.Hits, hitRow{href, h.Row.Unit, h.Row.Letter, tape(h.Row.Colour), h.Entry.At.Local().Format("2 Jan 2006"), says(d, h.Entry)})
	}
	return v.show("search", p)
}

type hitJSON struct {
	Book  string          `json:"book"`
	Unit  string          `json:"unit"`
	Entry int             `json:"entry"`
	At    string          `json:"at"`
	Kind  string          `json:"kind"`
	Body  json.RawMessage `json:"body"`
}

type searchJSON struct {
	Jobs    []jobJSON `json:"jobs"`
	Tag     string    `json:"tag,omitempty"`
	Of      string    `json:"of,omitempty"`
	Entries []hitJSON `json:"entries"`
	More    bool      `json:"more,omitempty"`
}

func (s *server) apiSearch(v *visit) error {
	found, err := s.sh.Search(v.r.Context(), v.r.FormValue("q"))
	if err != nil {
		return err
	}
	out := searchJSON{Jobs: []jobJSON{}, Entries: []hitJSON{}, More: found.More}
	for _, r := range found.Jobs {
		out.Jobs = append(out.Jobs, jobJSON{r.Book, r})
	}
	if f := found.Tag; f != nil {
		out.Tag, out.Of = cmp.Or(f.Tag, f.Place), f.Desk.Book
	}
	for _, h := range found.Entries {
		out.Entries = append(out.Entries, hitOf(h))
	}
	v.json(http.StatusOK, "application/json", out)
	return nil
}

func hitOf(h shop.Told) hitJSON {
	return hitJSON{h.Row.Book, h.Row.Unit, h.Entry.Seq, h.Entry.At.Format(time.RFC3339), h.Entry.Kind, h.Entry.Body}
}

func searchOperation() object {
	op := operation("search", "Look for words in all units, pieces, readings and notes. The later entries come first, at most 100.", schemaOf(reflect.TypeFor[searchJSON]()))
	op["parameters"] = []object{{"name": "q", "in": "query", "required": true, "description": "words, all of which must be there", "schema": text()}}
	return op
}
