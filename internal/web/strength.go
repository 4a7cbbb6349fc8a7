package web

import (
	"fmt"
	"net/http"
	"reflect"
	"strconv"
	"strings"

	"endfloat/internal/draw"
	"endfloat/internal/shop"
	"endfloat/internal/strength"
)

type strengthPage struct {
	frame
	strength.Sheet
	Chart   picture
	Effort  picture
	Teeth   picture
	Shafts  []picture
	Against string
	Others  []string        // series to compare with
	Lacks   string          // why nothing could be compared
	Few     []strength.Line // the weakest
}

// compare rates a job as the query asks: against a series or the book of another job,
// with draws and their seed.
func (s *server) compare(v *visit, d *shop.Desk) (*strength.Comparison, error) {
	o := strength.Options{Draws: strength.UsualDraws, Seed: 1}
	if t := strings.TrimSpace(v.r.FormValue("draws")); t != "" {
		n, err := strconv.Atoi(t)
		if err != nil || n < 0 || n > strength.MostDraws {
			return nil, fmt.Errorf("%w: draws is a whole number from 0 to %d, read %.20q", shop.ErrInvalid, strength.MostDraws, t)
		}
		o.Draws = n
	}
	if t := strings.TrimSpace(v.r.FormValue("seed")); t != "" {
		n, err := strconv.ParseUint(t, 10, 64)
		if err != nil {
			return nil, fmt.Errorf("%w: seed is a whole number, read %.20q", shop.ErrInvalid, t)
		}
		o.Seed = n
	}
	c, err := s.against(v, d, strings.TrimSpace(v.r.FormValue("against")), o)
	if err != nil {
		return nil, fmt.Errorf("%w: %w", shop.ErrInvalid, err)
	}
	return c, nil
}

func (s *server) against(v *visit, d *shop.Desk, name string, o strength.Options) (*strength.Comparison, error) {
	if name == "" || d.Box == nil || d.Box.HasSeries(name) {
		return strength.Of(d.State, name, nil, o)
	}
	other, err := s.sh.Open(v.r.Context(), name)
	if err != nil {
		return nil, fmt.Errorf("there is neither a series nor a job %.40q", name)
	}
	return strength.Of(d.State, "", other.State, o)
}

// strength shows what each part carries with another engine.
func (s *server) strength(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	p := strengthPage{frame: v.jobFrame(d, "Can it take the power?"), Against: v.r.FormValue("against")}
	c, err := s.compare(v, d)
	if err != nil {
		p.Lacks = capital(strings.TrimPrefix(err.Error(), shop.ErrInvalid.Error()+": "))
		return v.show("strength", p)
	}
	p.Sheet = c.Sheet()
	p.Against = c.After.Engine
	p.Chart = svg(draw.WeakestChart(c))
	if r := c.After.Road; r != nil {
		p.Effort, p.Teeth = svg(draw.RoadDiagram(r)), svg(draw.RoadSawtooth(r))
	}
	for _, sl := range c.After.Shafts {
		p.Shafts = append(p.Shafts, svg(draw.ShaftLoads(sl)))
	}
	for _, e := range d.Box.Strength.Engines {
		p.Others = append(p.Others, e.Series)
	}
	return v.show("strength", p)
}

func (s *server) apiStrength(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	c, err := s.compare(v, d)
	if err != nil {
		return err
	}
	v.json(http.StatusOK, "application/json", c.Sheet())
	return nil
}

// strengthOperation describes it.
func strengthOperation() object {
	op := operation("strength", "What each part carries with another engine: reserve, life and what it rests on, weakest first, beside what it was. "+strength.Caution,
		schemaOf(reflect.TypeFor[strength.Sheet]()))
	query := func(name, says string, schema object) object {
		return object{"name": name, "in": "query", "description": says, "schema": schema}
	}
	op["parameters"] = []object{
		query("against", "A series, whose engine drives the unit, or the book of another job of the same type; the strongest other engine if left out.", text()),
		query("draws", "Draw the big unknowns so many times.", object{"type": "integer", "minimum": 0, "maximum": strength.MostDraws}),
		query("seed", "Seed of the draws, 1 if left out.", object{"type": "integer", "minimum": 0}),
	}
	return op
}
