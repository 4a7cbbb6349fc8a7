package shop

import (
	"cmp"
	"context"
	"encoding/json"
	"slices"
	"strings"

	"endfloat/internal/job"
	"endfloat/internal/report"
)

// Cost of a job so far, and what it may come to: price = Σ parts · (1 + margin) +
// Σ hours · rate + consumables + contingency.

// Account adds up a job: parts as ordered and as written down, hours by stage.
func (sh *Shop) Account(ctx context.Context, d *Desk) (report.Account, error) {
	stores, err := sh.Open(ctx, StoresBook)
	if err != nil {
		return report.Account{}, err
	}
	t := termsOf(d, stores)
	a := report.Account{Hour: t.Hour, Margin: cmp.Or(t.Margin, "0 %"), Planned: t.Hours}
	unit := ""
	spend := func(what, stage, text string) {
		v, u, err := figureOf(text)
		if err != nil {
			a.Unread = append(a.Unread, what+": "+text)
			return
		}
		unit = cmp.Or(unit, u)
		if u != "" && u != unit {
			a.Unread = append(a.Unread, what+": "+text)
			return
		}
		if stage == "consumables" {
			a.Consumables += v
			return
		}
		a.Parts += v
		a.Lines = append(a.Lines, report.AccountLine{What: what, Money: v})
	}
	for _, o := range d.Orders {
		if o.Price != "" {
			spend(o.Tag+" from "+o.Supplier, "", o.Price)
		}
	}
	for _, e := range d.Costs {
		var c job.Cost
		if json.Unmarshal(e.Body, &c) != nil {
			continue
		}
		if c.Money != "" {
			spend(c.What, c.Stage, c.Money)
		}
		if c.Hours != "" {
			a.Spend(c.Stage, c.Hours)
		}
	}
	a.Reckon(priceOf(t.Hour), priceOf(t.Margin), priceOf(t.Consumables), priceOf(t.Contingency), unit)
	if e := d.State.Estimate; e != nil {
		a.Low, a.High = e.Is.LowIs, e.Is.HiIs
	}
	return a, nil
}

// TermsOf are the terms of a job: its own, and where it has none the workshop's.
func (sh *Shop) TermsOf(ctx context.Context, d *Desk) (job.Terms, error) {
	stores, err := sh.Open(ctx, StoresBook)
	if err != nil {
		return job.Terms{}, err
	}
	return termsOf(d, stores), nil
}

// costed refuses a cost that says neither hours nor money, or that cannot be read.
func (o *order) costed(b job.Cost) error {
	if err := need(b.What, "cost", "say what it was for"); err != nil {
		return err
	}
	if strings.TrimSpace(b.Hours+b.Money) == "" {
		return wrap(ErrInvalid, "cost: say the hours or the money that %s took", b.What)
	}
	if _, err := moneyOf("money", b.Money); err != nil {
		return err
	}
	if b.Hours == "" {
		return nil
	}
	if _, unit, err := figureOf(b.Hours); err != nil || !slices.Contains([]string{"", "h", "hour", "hours"}, unit) {
		return wrap(ErrInvalid, "hours: %q was read, hours such as 1.5 h are expected", b.Hours)
	}
	return nil
}

func termsOf(d, stores *Desk) job.Terms {
	var t job.Terms
	if stores.Terms != nil {
		t = *stores.Terms
	}
	if o := d.Terms; o != nil {
		t = job.Terms{Hour: cmp.Or(o.Hour, t.Hour), Margin: cmp.Or(o.Margin, t.Margin), Consumables: cmp.Or(o.Consumables, t.Consumables), Contingency: cmp.Or(o.Contingency, t.Contingency), Hours: cmp.Or(o.Hours, t.Hours)}
	}
	return t
}

// Levels prices three ways to do a job: what makes it safe, what does it
// properly, and as new. Each has all that is in the one before it.
func (sh *Shop) Levels(ctx context.Context, d *Desk) ([]report.Level, error) {
	a, err := sh.Account(ctx, d)
	if err != nil {
		return nil, err
	}
	stores, err := sh.Open(ctx, StoresBook)
	if err != nil {
		return nil, err
	}
	if d.Box == nil {
		return nil, wrap(ErrInvalid, "three levels: without a gearbox file it is not known which parts there are")
	}
	m, err := sh.model(ctx, Asking{Units: []Wish{{Book: d.Book}}})
	if err != nil {
		return nil, err
	}
	levels := []report.Level{
		{Name: "Make it safe", Says: "what is out of its limits or broken, with what goes with it, and every one-way part"},
		{Name: "Do it properly", Says: "and what is in, but worn, or was not measured"},
		{Name: "As new", Says: "and every other part that runs, grips or seals, where a new one can be had"},
	}
	along := m.goesAlong()
	for _, p := range d.Box.All() {
		own, ok := m.model.Own(0, p.ID)
		if !ok {
			continue
		}
		sp := d.Spots[p.ID]
		least := 3
		why := ""
		switch {
		case p.Once:
			least, why = 0, "a one-way part"
		case len(own.Against) > 0:
			least, why = 0, own.Against[0]
		case renewed(sp) && sp.Off != nil && sp.Off.Is.Damage != "":
			least, why = 0, sp.Off.Is.Damage
		case renewed(sp):
			least, why = 1, cmp.Or(sp.Decided.Is.Why, "decided to be renewed")
		case own.Worn:
			least, why = 1, "worn: in, and to be renewed next time"
		case own.Close:
			least, why = 1, "too close to call"
		case wears(p.Kind):
			least, why = 2, "it wears"
		}
		o, offered := cheapest(stores, d.Opened.Type, p.ID, variantWanted(d, p.ID))
		if least == 2 && !offered {
			continue
		}
		if with := along[p.ID]; with != "" && least > 0 {
			least, why = 0, "goes with "+with
		}
		if decidedFree(sp) {
			o.Price = ""
		}
		for i := least; i < 3; i++ {
			levels[i].Add(report.LevelPart{Label: p.Label(), Why: why, Price: o.Price, Known: offered || decidedFree(sp)}, priceOf(o.Price))
		}
	}
	for i := range levels {
		levels[i].Reckon(a)
	}
	return levels, nil
}

// goesAlong tells, of the first unit, which parts are decided to be of another
// variant because a part that must be renewed is, and which part that is: hard
// rules join them.
func (c *Choice) goesAlong() map[string]string {
	d := c.desks[0]
	changed := func(id string) bool {
		sp := d.Spots[id]
		own, ok := c.model.Own(0, id)
		return ok && sp != nil && sp.Decided != nil && sp.Decided.Is.Variant != "" && sp.Decided.Is.Variant != own.Variant
	}
	with := map[string]string{}
	for _, p := range d.Box.All() {
		if own, ok := c.model.Own(0, p.ID); ok && len(own.Against) > 0 && changed(p.ID) {
			with[p.ID] = p.Label()
		}
	}
	for grew := true; grew; {
		grew = false
		for _, r := range d.Box.Rules {
			ids := r.Positions()
			i := slices.IndexFunc(ids, func(id string) bool { return with[id] != "" })
			if r.Soft || i < 0 {
				continue
			}
			for _, id := range ids {
				if with[id] == "" && changed(id) {
					with[id], grew = with[ids[i]], true
				}
			}
		}
	}
	return with
}

// renewed reports a part that is decided to be replaced.
func renewed(sp *job.Spot) bool {
	return sp != nil && sp.Decided != nil && slices.Contains([]string{"new", "donor"}, sp.Decided.Is.Choice)
}

// decidedFree reports a part that comes from a donor and costs nothing here.
func decidedFree(sp *job.Spot) bool {
	return sp != nil && sp.Decided != nil && sp.Decided.Is.Choice == "donor"
}

func priceOf(text string) float64 {
	v, _, err := figureOf(text)
	if err != nil {
		return 0
	}
	return v
}

func variantWanted(d *Desk, id string) string {
	if sp := d.Spots[id]; sp != nil && sp.Decided != nil && sp.Decided.Is.Variant != "" {
		return sp.Decided.Is.Variant
	}
	return d.Box.As(d.Opened.Series).Variants[id]
}

// wears tells the kinds of part that run, grip or seal. Common practice, no source.
func wears(kind string) bool {
	for _, w := range []string{"bearing", "ring", "cage", "seal", "strut", "spring", "bush", "gasket", "sleeve"} {
		if strings.Contains(kind, w) {
			return true
		}
	}
	return false
}
