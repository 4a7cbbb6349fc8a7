package gearbox

import (
	"slices"
	"strings"
)

// ReadWith reads a gearbox file together with the parts that came off a unit and
// that the file does not have. Each is a position like any other, where it was
// found; the text, and so the hash that a job pins, is the file's alone.
func ReadWith(file string, text []byte, found []Found) (*Box, error) {
	return read(file, text, found)
}

// splice puts parts that came off into the order of what they sat on: against the
// one they were found against, else just deeper than all that came off there
// before, else outermost.
func (d *draft) splice(found []Found) {
	for _, f := range found {
		if _, known := d.seen[f.ID]; known {
			continue
		}
		c := d.carrierOf(f)
		p := &Position{ID: f.ID, Carrier: c, Name: f.Name, Kind: f.Kind, Count: max(1, f.Count), Mark: f.Mark, People: 1, Found: true}
		if slices.Contains(c.Ends, f.From) && f.From != c.Off {
			p.From = f.From
		}
		p.Faces, p.Either = facingOf(f.Faced, c.Ends)
		if f.Kind == "seat" {
			p.Seat = &Seat{Max: 4}
		}
		c.Order = slices.Insert(c.Order, placeIn(c, p, f), p)
		for i, q := range c.Order {
			q.Index = i
		}
		d.box.byID[p.ID], d.seen[p.ID] = p, nil
	}
}

// carrierOf is what a part sat on or in; what no file knows becomes one of its own.
func (d *draft) carrierOf(f Found) *Carrier {
	name := strings.TrimSpace(f.Carrier)
	if name == "" {
		name = "case"
	}
	for _, c := range d.box.Carriers {
		if strings.EqualFold(c.Name, name) || strings.EqualFold(c.ID, name) {
			return c
		}
	}
	taken := map[string]bool{}
	for id := range d.seen {
		taken[id] = true
	}
	c := &Carrier{ID: carrierID(name, taken), Name: name}
	if len(f.Ends) == 2 && f.Ends[0] != f.Ends[1] && f.Ends[0] != "" && f.Ends[1] != "" {
		c.Ends, c.Kind, c.Off = f.Ends, "shaft", f.Ends[1]
	}
	d.seen[c.ID] = nil
	d.box.Carriers = append(d.box.Carriers, c)
	return c
}

// placeIn is the index in its carrier's order at which a part lay.
func placeIn(c *Carrier, p *Position, f Found) int {
	first := len(c.Ends) == 2 && p.OffEnd() == c.Ends[0] // comes off at the first end: deeper is further back
	if i := slices.IndexFunc(c.Order, func(q *Position) bool { return q.ID == f.Against }); i >= 0 {
		if first {
			return i
		}
		return i + 1
	}
	at := len(c.Order)
	if first {
		at = 0
	}
	for i, q := range c.Order {
		if len(c.Ends) != 2 || q.OffEnd() != p.OffEnd() || !slices.Contains(f.After, q.ID) {
			continue
		}
		if first {
			at = max(at, i+1)
		} else {
			at = min(at, i)
		}
	}
	return at
}

// facingOf puts an answer into a facing, none where it says nothing that a file
// could hold.
func facingOf(faced string, ends []string) (faces []Facing, either bool) {
	face, to, ok := faceAnswer(faced, ends)
	if !ok {
		return nil, strings.TrimSpace(faced) == "either way"
	}
	return []Facing{{face, to}}, false
}
