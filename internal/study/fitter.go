package study

import (
	_ "embed"
	"fmt"
	"slices"
	"strings"
	"sync"
	"time"

	"endfloat/calc/uncert"
	"endfloat/internal/gearbox"
	"endfloat/internal/job"
	"endfloat/internal/setup"
)

//go:embed study.gearbox.yaml
var boxText []byte

var theBox = sync.OnceValues(func() (*gearbox.Box, error) { return gearbox.Read("study.gearbox.yaml", boxText) })

// rule says when a fitter with endfloat accepts: on the verdict "in", or from a
// chance on.
type rule struct{ chance float64 }

func (r rule) accepts(rs []setup.Result) bool {
	p := 1.0
	for _, s := range rs {
		if r.chance == 0 && !s.Proven {
			return false
		}
		p *= s.Chance
	}
	return p >= r.chance
}

// fitter sets up with endfloat. What is read and fitted next does not depend on
// when it is accepted, so one course serves several rules: each is out of it once
// it has accepted.
type fitter struct {
	rules []rule
	sets  int // most sets that are read again at one trial
}

// MostSets is how many more sets are read at one trial.
const MostSets = 6

// bench is a set-up being done with endfloat: its book and what lies where.
type bench struct {
	w        *world
	readings int
	entries  []job.Entry
	came     map[string]bool
	packs    map[string][]shim // by seat
	drawer   map[string][]job.Piece
	byTag    map[string]shim
	at       time.Time
}

func newBench(w *world) *bench {
	b := &bench{w: w, came: map[string]bool{}, packs: map[string][]shim{}, drawer: map[string][]job.Piece{}, byTag: map[string]shim{}, at: time.Date(2026, 3, 2, 8, 0, 0, 0, time.UTC)}
	for i, stock := range []string{"side shim", "depth shim"} {
		for _, s := range w.drawer[i] {
			b.byTag[s.tag] = s
			b.drawer[stock] = append(b.drawer[stock], piece(s, stock))
		}
	}
	b.write(job.Opened{Unit: "Study", Letter: "S", Type: "Study drive"})
	return b
}

const (
	seatDepth, seatLeft, seatRight = "P2", "D2", "D3"
	depthName, lashName            = "pinion depth", "backlash"
	preloadName                    = "side preload"
	widthX, lengthY                = "case width X", "differential length Y"
)

func (f fitter) do(w *world) []outcome {
	b := newBench(w)
	first := w.firsts()
	b.read("mandrel radius", outside, first.mandrel)
	b.read("gauge block", outside, first.block)
	b.readWarm(widthX, inside, first.x)
	b.readWarm(lengthY, outside, first.y)
	begun := b.readings
	b.fit(map[string][]shim{seatDepth: nearest(w.drawer[1], 0.50*mm)})
	pinion := f.stage(b, depthName, b.readGap, func() bool { return w.depthGood(b.packs[seatDepth]) })
	z := first.width(w) - mean(first.y) + (preloadLow+preloadHigh)/2
	left, right := sides(w.drawer[0], z, z/2)
	b.fit(map[string][]shim{seatLeft: left, seatRight: right})
	side := f.stage(b, lashName, b.readLash, func() bool { return w.sideGood(b.packs[seatLeft], b.packs[seatRight]) })
	out := make([]outcome, len(f.rules))
	for i := range out {
		p, s := pinion[i], side[i]
		out[i] = outcome{trials: p.trials, readings: begun + p.readings}
		if p.accepted {
			out[i] = outcome{p.trials + s.trials, begun + p.readings + s.readings, s.accepted, p.good && s.good}
		}
	}
	return out
}

// stage tries until all rules have accepted a setting with those that share its
// seats, or it is given up.
func (f fitter) stage(b *bench, name string, look func(), good func() bool) []outcome {
	out := make([]outcome, len(f.rules))
	before, left := b.readings, len(f.rules)
	for trial := range mostTrials {
		f.ready(b, name)
		b.together(name)
		look()
		for sets := 0; ; sets++ {
			s := b.state()
			rs := of(s, name)
			for i, r := range f.rules {
				if !out[i].accepted {
					out[i].trials, out[i].readings = trial+1, b.readings-before
					if r.accepts(rs) {
						out[i].accepted, out[i].good = true, good()
						left--
					}
				}
			}
			if left == 0 {
				return out
			}
			if sets == f.sets || slices.ContainsFunc(rs, func(r setup.Result) bool { return r.Verdict == uncert.Out }) {
				break
			}
			b.again(s, name)
		}
		b.change(name)
	}
	return out
}

// ready makes as sure as it can of the side preload before anything is put
// together: it is a chain, so that it is known from what lies on the bench.
func (f fitter) ready(b *bench, name string) {
	if name != lashName {
		return
	}
	for range f.sets {
		s := b.state()
		switch r, _ := setup.One(s, preloadName); r.Verdict {
		case uncert.In:
			return
		case uncert.Out:
			b.change(preloadName)
		default:
			if !b.whole(s) {
				b.again(s, preloadName)
			}
		}
	}
}

// whole measures a side pack of several pieces all together, unless both have
// been: the cheapest reading there is.
func (b *bench) whole(s *job.State) bool {
	for _, seat := range []string{seatLeft, seatRight} {
		pack := b.packs[seat]
		if len(pack) > 1 && !slices.ContainsFunc(s.ReadingsOf(seat+" thickness"), func(r job.Reading) bool {
			return slices.Equal(slices.Sorted(slices.Values(r.Packs[seat].Tags)), tags(pack))
		}) {
			b.read(seat+" thickness", outside, b.w.several(1, outside, total(pack)))
			return true
		}
	}
	return false
}

// of are the settings that a stage must bring right.
func of(s *job.State, name string) []setup.Result {
	return slices.DeleteFunc(setup.All(s), func(r setup.Result) bool { return (r.Name == depthName) != (name == depthName) })
}

// together puts a stage together: it never comes out quite the same.
func (b *bench) together(name string) {
	fit := refit * b.w.d.NormFloat64()
	if name == depthName {
		b.w.depthFit = fit
	} else {
		b.w.lashFit = fit
	}
}

func (b *bench) readGap() {
	w := b.w
	b.read("gauge gap", feelers, w.several(3, feelers, w.depth(b.packs[seatDepth])-w.mandrel-w.block))
}

func (b *bench) readLash() {
	b.read(lashName, dial, b.w.readBacklash(b.packs[seatLeft], b.packs[seatRight]))
}

// again reads what endfloat advises to read.
func (b *bench) again(s *job.State, name string) {
	w := b.w
	what := ""
	for _, a := range setup.Advise(s, name, b.drawer) {
		if a.Read != "" && a.With != "" {
			what = a.Read
			break
		}
	}
	switch what {
	case "mandrel radius":
		b.read(what, outside, w.several(3, outside, w.mandrel))
	case "gauge block":
		b.read(what, outside, w.several(3, outside, w.block))
	case widthX:
		b.readWarm(what, inside, w.several(3, inside, w.caseNow()))
	case lengthY:
		b.readWarm(what, outside, w.several(3, outside, w.y))
	default:
		if seat, ok := strings.CutSuffix(what, " thickness"); ok {
			b.read(what, outside, w.several(1, outside, total(b.packs[seat])))
		} else if name == depthName {
			b.readGap()
		} else if name == lashName {
			b.readLash()
		}
	}
}

// change fits the best packs that are not in already.
func (b *bench) change(name string) {
	for _, p := range setup.Propose(b.state(), name, b.drawer) {
		packs := map[string][]shim{}
		for seat, pack := range p.Packs {
			for _, t := range pack.Tags {
				packs[seat] = append(packs[seat], b.byTag[t])
			}
		}
		if !b.in(packs) {
			b.fit(packs)
			return
		}
	}
}

func (b *bench) in(packs map[string][]shim) bool {
	for seat, pack := range packs {
		if !slices.Equal(tags(pack), tags(b.packs[seat])) {
			return false
		}
	}
	return true
}

func tags(pack []shim) []string {
	var out []string
	for _, s := range pack {
		out = append(out, s.tag)
	}
	slices.Sort(out)
	return out
}

func piece(s shim, stock string) job.Piece {
	return job.Piece{Tag: s.tag, Name: stock, Stock: stock, SI: s.read, U: pieceU}
}

// fit puts packs into their seats.
func (b *bench) fit(packs map[string][]shim) {
	for _, seat := range []string{seatDepth, seatLeft, seatRight} {
		pack, ok := packs[seat]
		if !ok {
			continue
		}
		for _, s := range pack {
			if !b.came[s.tag] {
				b.came[s.tag] = true
				b.write(job.Came{Piece: piece(s, map[bool]string{true: "depth shim", false: "side shim"}[seat == seatDepth]), From: "stores", Place: "bench"})
			}
		}
		b.packs[seat] = pack
	}
	for _, seat := range []string{seatDepth, seatLeft, seatRight} {
		if pack, ok := packs[seat]; ok {
			b.write(job.Fitted{Position: seat, Tags: tags(pack), Trial: true})
		}
	}
}

func (b *bench) read(what, with string, values []float64) {
	b.write(reading(what, with, values))
	b.readings += len(values)
}

func (b *bench) readWarm(what, with string, values []float64) {
	r := reading(what, with, values)
	r.Temp = &b.w.said
	b.write(r)
	b.readings += len(values)
}

func reading(what, with string, values []float64) job.Read {
	r := job.Read{What: what, With: with, SI: values, Unit: "mm", U: doubtOf[with], Common: commonShare}
	for _, v := range values {
		r.Values = append(r.Values, fmt.Sprintf("%.3f", v/mm))
	}
	return r
}

func (b *bench) write(body job.Body) {
	n := len(b.entries) + 1
	b.at = b.at.Add(time.Minute)
	id := fmt.Sprintf("e%d", n)
	by, err := job.Encode(job.Entry{ID: id, At: b.at}, body)
	if err != nil {
		panic(err) // a body of our own that does not encode
	}
	b.entries = append(b.entries, job.Decode(job.Line{Seq: n, ID: id, Bytes: by}))
}

func (b *bench) state() *job.State {
	box, err := theBox()
	if err != nil {
		panic(err) // the file beside this one
	}
	return job.Replay("study", box, b.entries)
}
