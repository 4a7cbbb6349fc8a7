package setup

import (
	"math"
	"slices"

	"endfloat/calc/stack"
	"endfloat/calc/uncert"
	"endfloat/calc/unit"
	"endfloat/internal/job"
)

// Proposal is a pack for each seat of a setting, with what it would make of
// every setting that those seats move.
type Proposal struct {
	Packs  map[string]job.Pack // by seat
	Gives  []Given
	Chance float64 // that every one of them truly is within its limits
	pieces int
	off    float64 // sum of the distances from the targets, in half-bands
}

// Given is what a proposal makes of one setting.
type Given struct {
	Setting  string
	Value, U float64
	Text     string
	Verdict  uncert.Verdict
}

// near is how far apart two chances may be and still count as equal.
const near = 0.005

// most is how many totals are tried at each seat.
const most = 40

// Propose lists packs for the seats of a setting from the pieces at hand, best
// first: the chance that every setting moved by these seats is truly within its
// limits; within half a point of the best, fewer pieces, then nearer the
// targets. drawer are pieces that may be used, by kind of stock; what is in the
// seats already may be used too. The search is exact on totals at one seat, and
// over the best totals of two.
func Propose(s *job.State, name string, drawer map[string][]job.Piece) []Proposal {
	all := All(s)
	i := slices.IndexFunc(all, func(r Result) bool { return r.Name == name })
	if i < 0 || !all[i].Known || len(all[i].Wants) == 0 {
		return nil
	}
	moved := together(all, i)
	targets := jointTargets(all[i], moved)
	seats := all[i].Wants
	var out []Proposal
	for _, p := range candidates(s, seats[0], targets[seats[0].Seat.ID], drawer, nil) {
		first := Proposal{Packs: map[string]job.Pack{seats[0].Seat.ID: p}, pieces: len(p.Tags)}
		if len(seats) == 1 {
			out = append(out, judged(s, first, moved))
			continue
		}
		for _, q := range candidates(s, seats[1], targets[seats[1].Seat.ID], drawer, p.Tags) {
			both := Proposal{Packs: map[string]job.Pack{seats[0].Seat.ID: p, seats[1].Seat.ID: q}, pieces: len(p.Tags) + len(q.Tags)}
			out = append(out, judged(s, both, moved))
		}
	}
	return ranked(out)
}

// together are the settings that share a seat with number i and are known.
func together(all []Result, i int) []Result {
	out := []Result{all[i]}
	for j, r := range all {
		if j == i || !r.Known || !r.HasLo && !r.HasHi {
			continue
		}
		if slices.ContainsFunc(r.Seats(), func(id string) bool { return slices.Contains(all[i].Seats(), id) }) {
			out = append(out, r)
		}
	}
	return out
}

// jointTargets is the total wanted at each seat when the settings that share
// two seats are solved together: one fixes their sum, the other their difference.
func jointTargets(r Result, moved []Result) map[string]float64 {
	t := map[string]float64{}
	for _, w := range r.Wants {
		t[w.Seat.ID] = w.T
	}
	for _, o := range moved[1:] {
		for _, w := range o.Wants {
			if _, ok := t[w.Seat.ID]; ok {
				t[w.Seat.ID] += w.T - w.Now.SI
			}
		}
	}
	return t
}

// candidates are packs near a total, from the drawer and the seat itself.
func candidates(s *job.State, w Want, target float64, drawer map[string][]job.Piece, taken []string) []job.Pack {
	byTag := map[string]job.Piece{}
	var pieces []stack.Piece
	add := func(p job.Piece) {
		thin := w.Seat.Seat != nil && p.SI < float64(w.Seat.Seat.Thinnest)
		if p.SI <= 0 || thin || slices.Contains(taken, p.Tag) || byTag[p.Tag].Tag != "" {
			return
		}
		byTag[p.Tag] = p
		pieces = append(pieces, stack.Piece{ID: p.Tag, T: unit.Length(p.SI)})
	}
	stock := ""
	if w.Seat.Seat != nil {
		stock = w.Seat.Seat.Stock
	}
	for _, t := range w.Now.Tags {
		add(*s.Pieces[t])
	}
	for _, p := range drawer[stock] {
		add(p)
	}
	max := max(1, w.Piecemax)
	packs := stack.Choose(pieces, unit.Length(target), 60*unit.Micrometre, max)
	if len(packs) == 0 {
		packs = stack.Nearest(pieces, unit.Length(target), max)
	}
	slices.SortStableFunc(packs, func(a, b stack.Pack) int {
		x, y := math.Round(math.Abs(float64(a.Err))*2e5), math.Round(math.Abs(float64(b.Err))*2e5)
		return int(x - y)
	})
	if len(packs) > most {
		packs = packs[:most]
	}
	out := make([]job.Pack, len(packs))
	for i, p := range packs {
		out[i].Ok = true
		var u2 float64
		for _, pc := range p.Pieces {
			full := byTag[pc.ID]
			out[i].Tags = append(out[i].Tags, pc.ID)
			out[i].SI += full.SI
			u2 += full.U * full.U
		}
		out[i].U = math.Sqrt(u2)
	}
	return out
}

// judged foretells every setting that the packs move.
func judged(s *job.State, p Proposal, moved []Result) Proposal {
	p.Chance = 1
	for _, r := range moved {
		v, u, verdict := Foretell(s, r, p.Packs)
		lo, hi := bounds(&r)
		off := v - r.Value
		p.Chance *= math.Min(uncert.Conformity(r.Low+off, u, lo, hi), uncert.Conformity(r.High+off, u, lo, hi))
		if half := (hi - lo) / 2; !math.IsInf(half, 0) && half > 0 {
			p.off += math.Abs(v-r.Target) / half
		}
		p.Gives = append(p.Gives, Given{r.Name, v, u, Text(v, u, r.Unit), verdict})
	}
	return p
}

func ranked(ps []Proposal) []Proposal {
	best := 0.0
	for _, p := range ps {
		best = math.Max(best, p.Chance)
	}
	level := func(p Proposal) int { return int((best - p.Chance) / near) }
	slices.SortStableFunc(ps, func(a, b Proposal) int {
		switch {
		case level(a) != level(b):
			return level(a) - level(b)
		case a.pieces != b.pieces:
			return a.pieces - b.pieces
		case a.off != b.off:
			if a.off < b.off {
				return -1
			}
			return 1
		}
		return 0
	})
	if len(ps) > 8 {
		ps = ps[:8]
	}
	return ps
}
