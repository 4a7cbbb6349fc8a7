package plan

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"endfloat/internal/gearbox"
)

// Ask is what a person has: time, hands, an oven, parts.
type Ask struct {
	Minutes float64
	People  int
	Oven    bool
	Have    func(tag string) bool // is this piece here, if it is not in the job's own book; nil = no
}

// Timed is a step with when it begins, in minutes from now.
type Timed struct {
	Step
	From float64
	Heat *Heat // of a fit in the oven's session
}

// Skipped is a step that is free in itself and still not for today.
type Skipped struct {
	Step
	Why string
}

// Today is what can be done in a time.
type Today struct {
	Steps []Timed
	Oven  []Timed   // the fits of the oven's session, in order
	Soak  float64   // minutes in the oven before the first of them
	Not   []Skipped // free, but not today
	Ends  float64   // minutes from now
}

// today is a day being planned on a copy of what is on.
type today struct {
	v     *View
	ask   Ask
	out   Today
	on    map[string]bool
	soak  float64 // minutes, of the longest in the oven
	began float64 // when the oven was filled, below 0 before
}

// Today plans a time: first what is begun and not finished, then what can go on,
// each step followed by those that it frees. Hot fits come in one session of the
// oven, and one is only begun when it can be finished: warmed, slipped home, and
// held until it is cold.
func (v *View) Today(ask Ask) Today {
	t := &today{v: v, ask: ask, on: map[string]bool{}, began: -1}
	t.ask.People = max(1, ask.People)
	if v.Box == nil || v.Closed != nil {
		return t.out
	}
	for _, p := range v.Box.All() {
		t.on[p.ID] = v.aboard(p.ID)
	}
	for _, do := range []string{"lock", "torque", "test"} {
		t.plain(do)
	}
	t.fits()
	for _, do := range []string{"answer", "set", "decide"} {
		t.plain(do)
	}
	slices.SortStableFunc(t.out.Not, func(a, b Skipped) int { return cmp.Compare(a.Why, b.Why) })
	return t.out
}

// add puts a step into the day if it fits in what is left.
func (t *today) add(s Step, minutes float64, h *Heat) bool {
	from := t.out.Ends
	if h != nil {
		from = max(from, max(t.began, 0)+max(t.soak, h.Soak/60))
	}
	switch {
	case s.People > t.ask.People:
		t.skip(s, fmt.Sprintf("needs %d people", s.People))
		return false
	case from+minutes > t.ask.Minutes:
		t.skip(s, "does not fit in the time")
		return false
	}
	if h != nil {
		t.began, t.soak = max(t.began, 0), max(t.soak, h.Soak/60)
		t.out.Soak = t.soak
		t.out.Oven = append(t.out.Oven, Timed{Step: s, From: from, Heat: h})
	}
	t.out.Steps = append(t.out.Steps, Timed{s, from, h})
	t.out.Ends = from + minutes
	return true
}

func (t *today) skip(s Step, why string) {
	s.Waits = nil
	t.out.Not = append(t.out.Not, Skipped{s, why})
}

func (t *today) plain(do string) {
	for _, s := range t.v.Build {
		if s.Do == do && s.Now() {
			t.add(s, s.Minutes, nil)
		}
	}
}

// cooling is how long a hot part is held home: common practice, no source.
const cooling = 10.0

// fits goes on with what is free until nothing is: a hot fit as soon as it has
// been in the oven long enough, else a cold one, so that the oven's time is used.
func (t *today) fits() {
	told := map[string]bool{}
	for {
		var cold, hot *Step
		for i, s := range t.v.Build {
			p := s.Position
			if s.Do != "fit" || t.on[p.ID] || told[p.ID] || !t.free(p) {
				continue
			}
			h, warm := t.v.HeatFor(p, workshop)
			switch {
			case warm && hot == nil && (t.out.Ends >= h.Soak/60 || !t.ask.Oven):
				hot = &t.v.Build[i]
			case warm && hot == nil && cold == nil && !t.coldLeft(told):
				hot = &t.v.Build[i]
			case !warm && cold == nil:
				cold = &t.v.Build[i]
			}
		}
		next, warm := cold, false
		if hot != nil {
			next, warm = hot, true
		}
		if next == nil {
			return
		}
		if t.fit(*next, next.Position, warm) {
			t.on[next.Position.ID] = true
		} else {
			told[next.Position.ID] = true
		}
	}
}

// coldLeft reports whether a cold fit is free.
func (t *today) coldLeft(told map[string]bool) bool {
	return slices.ContainsFunc(t.v.Build, func(s Step) bool {
		return s.Do == "fit" && !s.Position.HeatTo.Known() && !t.on[s.Position.ID] && !told[s.Position.ID] && t.free(s.Position)
	})
}

// free reports whether all under a part is on by then and nothing else holds it.
func (t *today) free(p *gearbox.Position) bool {
	for _, q := range t.v.Box.Under(p.ID) {
		if !t.on[q.ID] {
			return false
		}
	}
	return !slices.ContainsFunc(t.v.holdsFor(p), func(f Finding) bool { return f.Key != Key("hold", "heat", p.ID) })
}

func (t *today) fit(s Step, p *gearbox.Position, warm bool) bool {
	s.Waits = nil
	if why := t.lacks(p); why != "" {
		t.skip(s, why)
		return false
	}
	minutes, h := s.Minutes, (*Heat)(nil)
	if says, _, _ := t.v.cold(p); warm && says != "" {
		if !t.ask.Oven {
			t.skip(s, "needs the oven")
			return false
		}
		heat, _ := t.v.HeatFor(p, workshop)
		h, minutes = &heat, minutes+cooling
		s.Title = strings.Replace(s.Title, "Fit ", "Fit warm ", 1)
	}
	lid := p.Lid() && t.unfinished(p)
	if lid {
		t.skip(s, "closes over a fastening that is not finished")
		return false
	}
	if !t.add(s, minutes, h) {
		return false
	}
	if p.Fastening() {
		t.add(t.v.torqueStep(p, nil), 5, nil)
		if lock := p.Lock.Text(t.v.Built); lock != "" {
			t.add(Step{Do: "lock", Position: p, Title: "Lock " + p.Label() + ": " + lock, Minutes: 3, People: 1}, 3, nil)
		}
	}
	return true
}

// unfinished reports whether a lid would close over a fastening that goes on
// today and does not get its torque and lock today.
func (t *today) unfinished(lid *gearbox.Position) bool {
	for _, q := range t.v.Box.Under(lid.ID) {
		if !q.Fastening() || t.v.aboard(q.ID) {
			continue
		}
		done := slices.ContainsFunc(t.out.Steps, func(s Timed) bool { return s.Do == "torque" && s.Position == q })
		if lock := q.Lock.Text(t.v.Built); lock != "" {
			done = done && slices.ContainsFunc(t.out.Steps, func(s Timed) bool { return s.Do == "lock" && s.Position == q })
		}
		if !done {
			return true
		}
	}
	return false
}

// lacks says which part is not here.
func (t *today) lacks(p *gearbox.Position) string {
	sp := t.v.Spots[p.ID]
	if sp == nil || p.Seat != nil {
		return ""
	}
	if sp.Decided == nil {
		if p.Once {
			return t.bought(p)
		}
		return ""
	}
	d := sp.Decided.Is
	switch {
	case d.Piece != "" && t.v.Pieces[d.Piece] == nil && (t.ask.Have == nil || !t.ask.Have(d.Piece)):
		return "waits for piece " + d.Piece
	case d.Piece == "" && d.Choice == "new":
		return t.bought(p)
	case d.Piece == "" && d.Choice == "donor":
		return "no donor piece is chosen"
	case d.Choice == "repair":
		if !t.repaired(p) {
			return "is to be repaired first"
		}
	}
	return ""
}

// bought asks for a new part of this position in the job's own book.
func (t *today) bought(p *gearbox.Position) string {
	for tag, pc := range t.v.Pieces {
		if _, in := t.v.In(tag); !in && pc.Position == p.ID && !slices.Contains(t.v.Spots[p.ID].AsFound, tag) {
			return ""
		}
	}
	return "a new one is not here yet"
}

// repaired takes a part as mended when its piece was put somewhere, marked or
// read after the decision.
func (t *today) repaired(p *gearbox.Position) bool {
	sp := t.v.Spots[p.ID]
	for _, tag := range sp.AsFound {
		for _, seq := range t.v.Trail[tag] {
			if seq > sp.Decided.Seq {
				return true
			}
		}
	}
	return false
}
