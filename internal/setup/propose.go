package setup

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"endfloat/calc/stack"
	"endfloat/calc/uncert"
	"endfloat/calc/unit"
	"endfloat/internal/job"
)

// Proposal is a pack for each seat of a setting, with what it would make of
// every setting that those seats move.
type Proposal struct {
	Packs  map[string]job.Pack // by seat
	Ground map[string]float64  // seats whose one piece is ground to a thickness
	Gives  []Given
	Chance float64 // that every one of them truly is within its limits
	Proven bool    // no better choice exists
}

// Given is what a proposal makes of one setting.
type Given struct {
	Setting  string
	Value, U float64
	Text     string
	Verdict  uncert.Verdict
}

// Need is what is to be set in one job.
type Need struct {
	State   *job.State
	Setting string // with the settings that share its seats; "" for all that are known
}

// groundDoubt is the standard uncertainty of a spacer ground to measure. From
// memory.
const groundDoubt = 3e-6

// listed is how many proposals are listed.
const listed = 6

// Propose lists packs for the seats of a setting from the pieces at hand, best
// first: the chance that every setting moved by these seats is truly within
// its limits, hot too where the file asks; within half a point of the best,
// fewer pieces, then those as found, then nearer the targets. drawer are pieces
// that may be used, by kind of stock; what is in the seats already may be used
// too. The search is exact on totals in micrometres.
func Propose(s *job.State, name string, drawer map[string][]job.Piece) []Proposal {
	var out []Proposal
	for _, ways := range ProposeAll([]Need{{s, name}}, drawer, listed) {
		out = append(out, ways[0])
	}
	return out
}

// ProposeAll fills the seats of several needs, of one job or of several, from
// one drawer: each result holds a proposal for every need, in their order.
func ProposeAll(needs []Need, drawer map[string][]job.Piece, most int) [][]Proposal {
	b := newBench(needs, drawer)
	if b == nil {
		return nil
	}
	// Seats that can take no piece of each other's are chosen each by itself, so
	// that one which the drawer cannot fill well spoils none of the others. The
	// second way then has the second of each.
	packs, totals := make([][]stack.Pack, 0, most), make([][]int, 0, most)
	all := true
	for _, group := range b.apart() {
		slots, aims := b.part(group)
		ways, proven := stack.ChooseJoint(b.pieces, slots, aims, most)
		if len(ways) == 0 {
			return nil
		}
		all = all && proven
		for len(packs) < len(ways) {
			packs, totals = append(packs, make([]stack.Pack, len(b.slots))), append(totals, make([]int, len(b.slots)))
			if n := len(packs) - 1; n > 0 { // a part with fewer ways stays at its best
				copy(packs[n], packs[0])
				copy(totals[n], totals[0])
			}
		}
		at := 0
		for _, a := range group {
			for _, slot := range b.aims[a].Slots {
				for n := range packs {
					w := ways[min(n, len(ways)-1)]
					if n >= len(ways) {
						w = ways[0]
					}
					packs[n][slot], totals[n][slot] = w.Packs[at], w.Totals[at]
				}
				at++
			}
		}
	}
	var out [][]Proposal
	for n := range packs {
		out = append(out, b.proposals(needs, packs[n], totals[n], all))
	}
	return out
}

// apart sorts the aims into groups that share no piece.
func (b *bench) apart() [][]int {
	var groups [][]int
	var has []map[int]bool
	for a, aim := range b.aims {
		mine := map[int]bool{}
		for _, s := range aim.Slots {
			for _, p := range b.slots[s].Pieces {
				mine[p] = true
			}
		}
		into := []int{a}
		var keepG [][]int
		var keepH []map[int]bool
		for g := range groups {
			shares := false
			for p := range mine {
				shares = shares || has[g][p]
			}
			if !shares {
				keepG, keepH = append(keepG, groups[g]), append(keepH, has[g])
				continue
			}
			into = append(into, groups[g]...)
			for p := range has[g] {
				mine[p] = true
			}
		}
		slices.Sort(into)
		groups, has = append(keepG, into), append(keepH, mine)
	}
	slices.SortFunc(groups, func(x, y []int) int { return x[0] - y[0] })
	return groups
}

// part is the slots and aims of one group, counted from 0.
func (b *bench) part(group []int) (slots []stack.Slot, aims []stack.Aim) {
	for _, a := range group {
		aim := b.aims[a]
		var mine []int
		for _, s := range aim.Slots {
			mine = append(mine, len(slots))
			slots = append(slots, b.slots[s])
		}
		aim.Slots = mine
		aims = append(aims, aim)
	}
	return slots, aims
}

// bench is a drawer, the seats it is to fill, and the settings they decide.
type bench struct {
	pieces  []stack.Piece
	full    []job.Piece
	byTag   map[string]int
	slots   []stack.Slot
	aims    []stack.Aim
	seats   []seatOf
	results [][]Result // of each need, the settings that are moved
}

// seatOf is a seat of one of the needs.
type seatOf struct {
	need int
	want Want
}

// newBench gathers what is to be chosen; nil when a need has nothing to choose.
func newBench(needs []Need, drawer map[string][]job.Piece) *bench {
	b := &bench{byTag: map[string]int{}}
	for n, need := range needs {
		all := All(need.State)
		groups := groupsOf(all, need.Setting)
		if len(groups) == 0 {
			return nil
		}
		had := len(b.slots)
		b.results = append(b.results, nil)
		for _, g := range groups {
			if need.Setting == "" && !fillable(need.State, g, drawer) {
				continue // no piece at hand for one of its seats must not hold up the others
			}
			b.group(n, need.State, g, drawer)
			b.results[n] = append(b.results[n], g...)
		}
		if len(b.slots) == had {
			return nil
		}
	}
	return b
}

// fillable reports whether there is a piece for every seat of settings.
func fillable(s *job.State, g []Result, drawer map[string][]job.Piece) bool {
	try := &bench{byTag: map[string]int{}}
	for _, r := range g {
		for _, w := range r.Wants {
			if slot, _ := try.slot(s, w, drawer); len(slot.Pieces) == 0 && !slot.Grind {
				return false
			}
		}
	}
	return true
}

// groupsOf are the settings to be solved, those that share seats together: of
// the named one, or of all that are known and have seats.
func groupsOf(all []Result, name string) [][]Result {
	var open []Result
	for _, r := range all {
		if r.Known && len(r.Wants) > 0 {
			open = append(open, r)
		}
	}
	var groups [][]Result
	for len(open) > 0 {
		g := []Result{open[0]}
		open = open[1:]
		for i := 0; i < len(open); {
			if slices.ContainsFunc(g, func(r Result) bool { return shareSeat(r, open[i]) }) {
				g, open = append(g, open[i]), slices.Delete(open, i, i+1)
				i = 0
				continue
			}
			i++
		}
		if name == "" || slices.ContainsFunc(g, func(r Result) bool { return strings.EqualFold(r.Name, name) }) {
			groups = append(groups, g)
		}
	}
	return groups
}

func shareSeat(a, b Result) bool {
	return slices.ContainsFunc(a.Seats(), func(id string) bool { return slices.Contains(b.Seats(), id) })
}

// group adds the seats and the aim of settings that share seats.
func (b *bench) group(need int, s *job.State, g []Result, drawer map[string][]job.Piece) {
	targets := map[string]float64{}
	var wants []Want
	for _, r := range g {
		for _, w := range r.Wants {
			if _, ok := targets[w.Seat.ID]; !ok {
				targets[w.Seat.ID] = w.Now.SI
				wants = append(wants, w)
			}
			targets[w.Seat.ID] += w.T - w.Now.SI
		}
	}
	a := stack.Aim{}
	u := make([]float64, len(wants))
	for i, w := range wants {
		w.T = targets[w.Seat.ID]
		a.Slots = append(a.Slots, len(b.slots))
		b.seats = append(b.seats, seatOf{need, w})
		slot, doubt := b.slot(s, w, drawer)
		b.slots, u[i] = append(b.slots, slot), doubt
	}
	j := newJudge(g, wants, u)
	a.Chance, a.Off = j.chance, j.off
	b.aims = append(b.aims, a)
}

// slot is one seat with the pieces that may go there, and their usual doubt.
func (b *bench) slot(s *job.State, w Want, drawer map[string][]job.Piece) (stack.Slot, float64) {
	seat := w.Seat.Seat
	slot := stack.Slot{Name: w.Seat.Label(), Min: 1, Max: max(1, w.Piecemax), Want: unit.Length(w.T)}
	thinnest, stock := 0.0, ""
	if seat != nil {
		slot.Grind, thinnest, stock = seat.Grind, float64(seat.Thinnest), seat.Stock
	}
	var us []float64
	add := func(p job.Piece) {
		if p.SI <= 0 || p.SI < thinnest {
			return
		}
		i, ok := b.byTag[p.Tag]
		if !ok {
			i = len(b.pieces)
			b.byTag[p.Tag] = i
			b.pieces = append(b.pieces, stack.Piece{ID: p.Tag, T: unit.Length(p.SI)})
			b.full = append(b.full, p)
		}
		if !slices.Contains(slot.Pieces, i) {
			slot.Pieces = append(slot.Pieces, i)
			us = append(us, p.U)
		}
	}
	found := w.Now.Tags
	if sp := s.Spots[w.Seat.ID]; sp != nil && len(sp.AsFound) > 0 {
		found = sp.AsFound
	}
	for _, t := range slices.Concat(w.Now.Tags, found) {
		if p := s.Pieces[t]; p != nil {
			add(*p)
		}
	}
	for _, p := range drawer[stock] {
		add(p)
	}
	for _, t := range found {
		if i, ok := b.byTag[t]; ok && slices.Contains(slot.Pieces, i) {
			slot.Found = append(slot.Found, i)
		}
	}
	if slot.Grind {
		return slot, groundDoubt
	}
	slices.Sort(us)
	if len(us) == 0 {
		return slot, 0
	}
	return slot, us[len(us)/2]
}

// proposals reads a way back, need by need.
func (b *bench) proposals(needs []Need, packs []stack.Pack, totals []int, proven bool) []Proposal {
	out := make([]Proposal, len(needs))
	for n := range out {
		out[n] = Proposal{Packs: map[string]job.Pack{}, Proven: proven}
	}
	for i, p := range packs {
		at := b.seats[i]
		pack := job.Pack{Ok: true}
		if b.slots[i].Grind {
			pack.SI, pack.U = float64(totals[i])*1e-6, groundDoubt
			if out[at.need].Ground == nil {
				out[at.need].Ground = map[string]float64{}
			}
			out[at.need].Ground[at.want.Seat.ID] = pack.SI
		}
		var u2 float64
		for _, pc := range p.Pieces {
			full := b.full[b.byTag[pc.ID]]
			pack.Tags = append(pack.Tags, pc.ID)
			pack.SI += full.SI
			u2 += full.U * full.U
		}
		if len(pack.Tags) > 0 {
			pack.U = math.Sqrt(u2)
		}
		out[at.need].Packs[at.want.Seat.ID] = pack
	}
	for n := range out {
		out[n].judge(needs[n].State, b.results[n])
	}
	return out
}

// judge foretells every setting that the packs move, and the chance that all
// of them are within their limits.
func (p *Proposal) judge(s *job.State, moved []Result) {
	p.Chance = 1
	for _, g := range groupsOf(moved, "") {
		p.Chance *= together(g[0].est.m, s, g, p.Packs)
	}
	for _, r := range moved {
		v, u, verdict := Foretell(s, r, p.Packs)
		p.Gives = append(p.Gives, Given{r.Name, v, u, Text(v, u, r.Unit), verdict})
	}
}

// together is the probability that several settings of a job are all within
// their limits with the given packs, with what their doubts share in a model.
func together(m *model, s *job.State, rs []Result, packs map[string]job.Pack) float64 {
	as := make([]axis, len(rs))
	hs := make([][]part, len(rs))
	cov := square(len(rs))
	for i, r := range rs {
		h, off, extra := r.with(s, packs)
		hs[i] = h
		as[i] = r.axis(m.value(h) + off)
		cov[i][i] = extra + r.form.around.u*r.form.around.u
	}
	for i := range rs {
		for j := range rs {
			cov[i][j] += m.cov(hs[i], hs[j])
		}
	}
	return boxed(as, cov)
}

// axis is the setting at a value, with its limits drawn in by what it strays
// around a turn.
func (r Result) axis(v float64) axis {
	lo, hi := bounds(&r)
	return axis{v, lo + r.Value - r.Low, hi - (r.High - r.Value), r.Hot}
}

func square(n int) [][]float64 {
	c := make([][]float64, n)
	for i := range c {
		c[i] = make([]float64, n)
	}
	return c
}

// boxed is box with a setting that is judged hot put first, where heat is exact.
func boxed(as []axis, cov [][]float64) float64 {
	for i := 1; i < len(as); i++ {
		if h := as[i].hot; h != nil && h.Judged && (as[0].hot == nil || !as[0].hot.Judged) {
			as[0], as[i] = as[i], as[0]
			cov[0], cov[i] = cov[i], cov[0]
			for j := range cov {
				cov[j][0], cov[j][i] = cov[j][i], cov[j][0]
			}
		}
	}
	return box(as, cov)
}

// judge weighs totals at seats that move some settings together.
type judge struct {
	rs    []Result
	bare  []float64   // value with nothing at the seats
	gain  [][]float64 // per metre at each seat
	per   [][]float64 // move per metre at each seat, for the doubt of the factor
	ref   []float64   // move at which the factor's doubt counts for nothing
	base  [][]float64 // covariance with nothing at the seats
	slant [][]float64 // of each value with each factor
	twist [][]float64 // of the factors
	u     []float64   // doubt of one piece at each seat
	axes  []axis      // of the settings, with their limits
	as    []axis      // scratch of chance, which is asked very often
	cov   [][]float64
	move  []float64
	mic   []float64 // what the drawer's micrometer does to each value
}

func newJudge(rs []Result, wants []Want, u []float64) *judge {
	e := rs[0].est
	n := len(rs)
	j := &judge{rs: rs, u: u, base: square(n), slant: square(n), twist: square(n), cov: square(n), as: make([]axis, n), move: make([]float64, n), mic: make([]float64, n)}
	hs, ks := make([][]part, len(rs)), make([][]part, len(rs))
	for i, r := range rs {
		f := r.form
		k := 1.0
		ref := 0.0
		if f.base >= 0 {
			hs[i] = []part{{f.base, 1}}
			if f.factor >= 0 {
				ks[i], k = []part{{f.factor, 1}}, e.m.x[f.factor]
			} else if given, ok := f.set.Factor.SI(e.as); ok {
				k = given
			}
			ref = f.ref
		} else {
			hs[i] = slices.Clone(f.chain)
			for _, l := range r.links {
				if now := e.s.Pack(l.seat.ID); now.Ok {
					for _, a := range e.pack(now.Tags, l.per) {
						hs[i] = append(hs[i], part{a.i, -a.c})
					}
				}
			}
		}
		j.ref, j.axes = append(j.ref, ref), append(j.axes, r.axis(0))
		j.bare = append(j.bare, e.m.value(hs[i])-k*ref)
		gain, per := make([]float64, len(wants)), make([]float64, len(wants))
		for _, l := range r.links {
			if at := slices.IndexFunc(wants, func(w Want) bool { return w.Seat.ID == l.seat.ID }); at >= 0 {
				gain[at], per[at] = k*l.per, l.per
			}
		}
		j.gain, j.per = append(j.gain, gain), append(j.per, per)
	}
	for i := range rs {
		for n := range rs {
			j.base[i][n] = e.m.cov(hs[i], hs[n])
			j.slant[i][n] = e.m.cov(hs[i], ks[n])
			j.twist[i][n] = e.m.cov(ks[i], ks[n])
		}
		j.base[i][i] += rs[i].form.around.u*rs[i].form.around.u + rs[i].Refit*rs[i].Refit
	}
	return j
}

func (j *judge) value(i int, totals []int) (v, move float64) {
	v, move = j.bare[i], -j.ref[i]
	for s, t := range totals {
		v += j.gain[i][s] * float64(t) * 1e-6
		move += j.per[i][s] * float64(t) * 1e-6
	}
	return v, move
}

func (j *judge) chance(totals, counts []int) float64 {
	copy(j.as, j.axes) // boxed may have changed their order
	for i := range j.as {
		j.as[i].v, j.move[i] = j.value(i, totals)
		j.mic[i] = 0
		for s, count := range counts {
			j.mic[i] += j.gain[i][s] * float64(count) * j.u[s] * pieceCommon
		}
	}
	for i := range j.rs {
		for n := range i + 1 {
			c := j.base[i][n] + j.move[n]*j.slant[i][n] + j.move[i]*j.slant[n][i] + j.move[i]*j.move[n]*j.twist[i][n]
			for s, count := range counts {
				c += j.gain[i][s] * j.gain[n][s] * float64(count) * j.u[s] * j.u[s] * (1 - pieceCommon*pieceCommon)
			}
			c += j.mic[i] * j.mic[n]
			j.cov[i][n], j.cov[n][i] = c, c
		}
	}
	return boxed(j.as, j.cov)
}

func (j *judge) off(totals []int) float64 {
	var off float64
	for i, r := range j.rs {
		v, _ := j.value(i, totals)
		lo, hi := bounds(&r)
		half := (hi - lo) / 2
		if math.IsInf(half, 0) || half <= 0 {
			half = 1e-4
		}
		off += math.Abs(v-r.Target) / half
	}
	return off
}

// Buying is a set of thicknesses to buy, and what the seats would get with them.
type Buying struct {
	Thick  []float64 // SI, of each piece
	For    []string  // the stock each is of
	Ways   []Proposal
	Proven bool // nothing cheaper does it
}

// Buys lists the cheapest pieces to buy, at most three, that bring the chance of
// every need to wanted, where the drawer cannot. steps are the thicknesses sold;
// all count as of one price, so that fewest come first.
func Buys(needs []Need, drawer map[string][]job.Piece, steps []float64, wanted float64) []Buying {
	b := newBench(needs, drawer)
	if b == nil {
		return nil
	}
	slotsOf := map[string][]int{}
	for i, s := range b.seats {
		if seat := s.want.Seat.Seat; seat != nil && seat.Stock != "" {
			slotsOf[seat.Stock] = append(slotsOf[seat.Stock], i)
		}
	}
	var offers []stack.Offer
	var stocks []string
	for _, stock := range slices.Sorted(maps.Keys(slotsOf)) {
		slots := slotsOf[stock]
		for _, t := range steps {
			offers = append(offers, stack.Offer{ID: fmt.Sprintf("%s %.2f", stock, t/1e-3), T: unit.Length(t), Price: 1, Slots: slots})
			stocks = append(stocks, stock)
		}
	}
	buys, proven := stack.OrderJoint(b.pieces, b.slots, b.aims, offers, wanted, 2)
	var out []Buying
	for _, y := range buys {
		x := Buying{Proven: proven}
		for _, i := range y.Offers {
			x.Thick = append(x.Thick, float64(offers[i].T))
			x.For = append(x.For, stocks[i])
			b.lend(offers[i])
		}
		x.Ways = b.proposals(needs, y.Joint.Packs, y.Joint.Totals, proven)
		out = append(out, x)
	}
	return out
}

// lend makes a piece on offer known to the bench, measured as well as the rest.
func (b *bench) lend(o stack.Offer) {
	if _, ok := b.byTag[o.ID]; !ok {
		b.byTag[o.ID] = len(b.full)
		b.full = append(b.full, job.Piece{Tag: o.ID, SI: float64(o.T), U: groundDoubt})
	}
}
