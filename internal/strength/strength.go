// Package strength follows the torque of an engine through a gearbox, part by part,
// and says what each carries, how long it lasts under a stated use, and which gives
// way first: a unit as it was beside the same unit with another engine or other parts.
//
// Everything is put on one scale, the reserve: by how much every torque of the duty
// could grow before a part no longer lasts as long as is wanted, or is overloaded at
// once. Where the gearbox file lacks what an absolute figure needs, the part is only
// compared with what it bore before. Losses in the gearbox are left out, so that power
// in is power out; the duty is the load, with no factor on top of it.
//
// Parallel shafts are counted along one axis from one plane, front to rear; y runs
// from the driving shaft to the driven one. The sums are those of calc/gear/rating,
// calc/bevel, calc/bearing, calc/shaft, calc/spline and calc/synchro, whose sources and
// doubts go with the results.
package strength

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"endfloat/internal/gearbox"
)

// Caution says who must approve a change of power.
const Caution = "A change of power is not approved by this sheet. It takes licensed practice, the local rules for the vehicle, " +
	"and the written word of the operator's engineer or of the authority that passes it, before it runs. The maker's figures come first."

// Design is a unit to be rated: what it is built as and the series whose engine drives it.
type Design struct {
	Name   string
	Built  gearbox.Built
	Engine string
}

// Kind is the way in which a part gives way.
type Kind string

// The kinds.
const (
	Flank      Kind = "flank"
	Root       Kind = "tooth root"
	Rolling    Kind = "bearing"
	Section    Kind = "shaft"
	Joint      Kind = "spline"
	Dogs       Kind = "dogs"
	Synchro    Kind = "synchroniser"
	BevelFlank Kind = "bevel flank"
	BevelRoot  Kind = "bevel root"
)

// Ground is something that a result rests on: a fact, measured or from a source
// that the file lists, or an assumption.
type Ground struct {
	Says string `json:"says"`
	Fact bool   `json:"fact"`
	From string `json:"from"`
}

// Link is one way in which one part may give way.
type Link struct {
	Part, Name string
	Kind       Kind
	Gear       string  // in which the part is loaded most
	Load       string  // what it bears there, in words
	Size       float64 // that load in SI, for comparing
	Reserve    float64 // NaN: not known, only compared
	Life       float64 // s of the duty, +Inf: no end in sight; NaN: this is no matter of life
	Slope      float64 // by which its life falls with torque, 0 none
	Torqued    bool    // the torque matters to it
	Grounds    []Ground

	wear  func(load, strength float64) float64 // life under all torques times load
	grows int                                  // 0 nothing drawn, 1 gear steel, 2 steel squared (flanks), 3 shaft steel
}

// key tells which link of two designs are the same.
func (l *Link) key() string { return l.Part + "|" + string(l.Kind) + "|" + l.Name }

// Case is one design, rated.
type Case struct {
	Name, Engine string
	Power        float64 // W
	PowerAt      float64 // rad/s
	Torque       float64 // greatest in the duty, N·m at the input
	Links        []Link
	Weakest      int // of Links, -1 none
	Speeds       []Speed
	Shafts       []ShaftLoad
	Road         *Road
}

// Speed is a speed of the gearbox with its ratio, without the bevel drive.
type Speed struct {
	Name                 string
	Ratio, Overall       float64
	In, Out              float64 // greatest torque into the gearbox and out of the pair, N·m
	Tangential, Axial    float64 // at the pair's teeth, N
	Backward             bool
	driverTeeth, drivenZ float64
}

// ShaftLoad is what acts on a shaft in the speed in which it is loaded most.
type ShaftLoad struct {
	Carrier, Name, Gear string
	Length              float64
	Forces              []ForceAt
}

// ForceAt is a force square to a shaft and along it; Bearing tells a reaction.
type ForceAt struct {
	At, Radial, Axial float64
	Name              string
	Bearing           bool
}

// Pair is a link before and after.
type Pair struct {
	Before, After *Link
	Times         float64 // life after over life before, or load where there is no life; NaN unknown
	Says          string
	// Of draws: 5 % and 95 % of the reserve after, and how often it is the weakest.
	Low, High, Weakest float64
	LifeLow, LifeHigh  float64
}

// Comparison is a unit before and after, link by link, weakest first.
type Comparison struct {
	Before, After Case
	Pairs         []Pair
	Ratio         float64 // greatest torque after over that before
	Wanted        float64 // life that is wanted, s
	Draws         int
	Short         float64 // share of the draws in which the weakest link of the unit after falls short
	Doubts        []Ground
	Missing       []string // what was not rated, and what to write to have it rated
	Changes       []string // what would change the answer most
}

// Options are what may be asked beside.
type Options struct {
	Draws int
	Seed  uint64
}

// MostDraws bounds the draws of a comparison.
const MostDraws = 200000

// Compare rates two designs of a type and sets them side by side.
func Compare(box *gearbox.Box, before, after Design, o Options) (*Comparison, error) {
	if o.Draws < 0 || o.Draws > MostDraws {
		return nil, fmt.Errorf("draws are 0 to %d, got %d", MostDraws, o.Draws)
	}
	a, err := rate(box, before)
	if err != nil {
		return nil, err
	}
	b, err := rate(box, after)
	if err != nil {
		return nil, err
	}
	c := &Comparison{Before: a.done, After: b.done, Ratio: b.done.Torque / a.done.Torque, Wanted: b.wanted, Doubts: b.doubts(), Missing: b.missing, Draws: o.Draws}
	c.pair()
	if o.Draws > 0 {
		c.draw(b.factors(), o)
	}
	c.Changes = c.changes(b)
	return c, nil
}

// pair puts the links side by side, least reserve of the unit after first, those
// that are only compared behind them by how much of their life is left.
func (c *Comparison) pair() {
	old := map[string]*Link{}
	for i := range c.Before.Links {
		old[c.Before.Links[i].key()] = &c.Before.Links[i]
	}
	c.Pairs = make([]Pair, 0, len(c.After.Links))
	for i := range c.After.Links {
		l := &c.After.Links[i]
		p := Pair{Before: old[l.key()], After: l, Times: math.NaN()}
		if p.Before != nil {
			p.Times = times(p.Before, l)
		}
		p.Says = p.says(c.Ratio)
		c.Pairs = append(c.Pairs, p)
	}
	slices.SortStableFunc(c.Pairs, func(p, q Pair) int {
		switch a, b := rank(p), rank(q); {
		case a < b:
			return -1
		case a > b:
			return 1
		}
		return 0
	})
}

func rank(p Pair) float64 {
	switch {
	case !p.After.Torqued:
		return 1e6
	case math.IsNaN(p.After.Reserve):
		return 1e3 + min(p.Times, 10)
	}
	return p.After.Reserve
}

// times is what is left of a life, or by how much a load has grown where the part
// is no matter of life.
func times(a, b *Link) float64 {
	switch {
	case b.Slope > 0 && a.Size > 0 && b.Size > 0:
		if known(a.Life) && known(b.Life) && a.Life > 0 {
			return b.Life / a.Life
		}
		return math.Pow(a.Size/b.Size, b.Slope)
	case a.Size > 0:
		return b.Size / a.Size
	}
	return math.NaN()
}

func known(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

// says is the comparison in words.
func (p Pair) says(ratio float64) string {
	b := p.After
	switch {
	case p.Before == nil:
		return "there was no such part before"
	case !b.Torqued:
		return "torque is no matter to it; the speeds are"
	case math.IsInf(b.Life, 1):
		return "no end of its life in sight, before nor after"
	case !known(p.Times):
		return "no comparison"
	case math.Abs(p.Times-1) < 0.005:
		return "as before"
	case b.Slope > 0 && known(b.Life) && b.Life == 0:
		return "overloaded at once"
	case b.Slope > 0 && p.Times < 1:
		return fmt.Sprintf("%s times the torque: its life falls to %s of what it was", short(ratio), short(p.Times))
	case b.Slope > 0:
		return fmt.Sprintf("%s times the torque: its life is %s times what it was", short(ratio), short(p.Times))
	}
	return fmt.Sprintf("%s times the torque: it bears %s times what it bore", short(ratio), short(p.Times))
}

// Weak is the weakest link of the unit after; false where nothing could be rated.
func (c *Comparison) Weak() (Pair, bool) {
	for _, p := range c.Pairs {
		if p.After.Torqued && !math.IsNaN(p.After.Reserve) {
			return p, true
		}
	}
	return Pair{}, false
}

// changes are what would change the answer most: facts for assumptions at the weakest links.
func (c *Comparison) changes(m *model) []string {
	var out []string
	add := func(s string) {
		if s != "" && !slices.Contains(out, s) {
			out = append(out, s)
		}
	}
	for i, p := range c.Pairs {
		if i >= 3 {
			break
		}
		switch p.After.Kind {
		case Flank, Root:
			add("a certificate or a hardness test of the steel of " + p.After.Part + ": one grade up or down moves a flank's limit by some 13 % and a root's by some 25 %")
		case Rolling:
			add("the maker's sheet of the very bearing at " + p.After.Part + ": its life goes with the rating to the third power and more")
		case BevelFlank, BevelRoot:
			add("the maker's geometry factors of crown wheel and pinion: those here are taken for granted")
		case Section:
			add("the true shape of the section " + p.After.Name + ": a sharper corner takes its safety in proportion")
		case Joint, Dogs:
			add("the wear of " + p.After.Part + " and how many of its teeth carry")
		}
	}
	add("how it is really driven: torque 10 % higher all through takes about 27 % off a roller bearing's life and about half off a hard flank's")
	return append(out, "oil that is dirty or short: nothing here knows of it, and most used gearboxes end so")
}

func short(v float64) string {
	switch {
	case math.IsInf(v, 0) || v >= 100:
		return fmt.Sprintf("%.0f", v)
	case v >= 10:
		return fmt.Sprintf("%.0f", v)
	case v >= 0.995:
		return strings.TrimSuffix(fmt.Sprintf("%.2f", v), "0")
	case v >= 0.0095:
		return fmt.Sprintf("%.2f", v)
	}
	if v >= 0.00095 {
		return fmt.Sprintf("%.1g", v)
	}
	return "under 0.001"
}
