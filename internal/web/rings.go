package web

import (
	"maps"
	"slices"
	"strings"

	"endfloat/internal/job"
	"endfloat/internal/shop"
)

type ringsPage struct {
	frame
	Table      *shop.RingTable
	Ring, Cone string // that are tried now
	Names      string
	Cell       *shop.RingCell
	Tools      []string
	Question   bool
	Also       string
	Pairs      []ringPair
	Fields     []int
}

// ringPair is one ring on the gear it goes on, in the best pairing.
type ringPair struct {
	Ring, Cone shop.RingEnd
	Cell       *shop.RingCell
	Moved      bool // not the gear it came off
}

// rings is the table of rings tried on cones, and the best pairing of what was
// tried.
func (s *server) rings(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	return s.showRings(v, d)
}

func (s *server) showRings(v *visit, d *shop.Desk) error {
	p := ringsPage{frame: v.jobFrame(d, "Rings and cones"), Ring: v.trimmed("ring"), Cone: v.trimmed("cone"), Also: v.trimmed("also"), Fields: []int{0, 1, 2}, Tools: slices.Sorted(maps.Keys(d.Stores.Instruments))}
	var err error
	p.Table, err = s.sh.Rings(v.r.Context(), d, p.Also)
	if code, says := status(err); err != nil && p.Also != "" && code < 500 {
		v.refuse = &fault{At: "also", Says: sentence(says), code: 422}
		p.frame = v.jobFrame(d, "Rings and cones")
		p.Table, err = s.sh.Rings(v.r.Context(), d)
	}
	if err != nil {
		return err
	}
	t := p.Table
	for i, r := range t.Rings {
		for j, c := range t.Cones {
			if strings.EqualFold(r.Tag, p.Ring) && strings.EqualFold(c.Tag, p.Cone) {
				p.Ring, p.Cone, p.Cell, p.Bench = r.Tag, c.Tag, t.Cells[i][j], true
				p.Names = r.Position.Name + " on " + c.Position.Name
			}
		}
		if j := t.Best[i]; j >= 0 {
			p.Pairs = append(p.Pairs, ringPair{r, t.Cones[j], t.Cells[i][j], !strings.EqualFold(t.OwnRing(j), r.Position.ID)})
		}
	}
	p.Question = v.refuse != nil && strings.Contains(v.refuse.Says, "say you are sure")
	return v.show("rings", p)
}

// tryRing records the gap of one ring on one cone.
func (s *server) tryRing(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	if err = v.form(); err == nil {
		b := job.Gap{Ring: v.trimmed("ring"), Cone: v.trimmed("cone"), Value: joined(" · ", v.r.Form["value"]...), With: v.trimmed("with"), Sure: v.r.FormValue("sure") != ""}
		_, err = s.sh.Record(v.r.Context(), v.by(), d.Book, b)
	}
	if err == nil {
		return v.go303("/job/" + d.Book + "/rings")
	}
	if err := v.refused("ring", err); err != nil {
		return err
	}
	return s.showRings(v, d)
}
