// Package setup brings the settings of a job from readings to shims: what each
// setting is now and how surely, what pack would bring it to its target, and
// whether it is proven.
//
// All lengths of a job are estimated together by generalised least squares
// over every reading that still holds: figures of the file with their
// tolerances, readings with what their instruments share, trials with known
// packs, and where the change per millimetre of move is itself uncertain, that
// too. So the order of readings does not matter and a struck one leaves no
// trace. The verdict follows ISO 14253-1: a guard band of 1.65 standard
// uncertainties, one limit active [ISO14253-1]. Sources: [GUM] for combining.
package setup

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"endfloat/calc/uncert"
	"endfloat/calc/unit"
	"endfloat/internal/gearbox"
	"endfloat/internal/job"
)

// Result is one setting of a job as it stands.
type Result struct {
	*gearbox.Setting
	Known     bool
	Value, U  float64 // SI; at the packs now in place
	Low, High float64 // at the tightest and the widest place around the turn, else Value
	UPlace    float64 // doubt of Low and High
	Lo, Hi    float64 // limits
	HasLo     bool
	HasHi     bool
	Target    float64
	Verdict   uncert.Verdict // "" when the value or the limits are not known
	Chance    float64        // probability of truly being within the limits, hot ones too
	Hot       *Hot           // nil where the file says nothing of heat
	Proven    bool
	Why       string // why it is not proven, and what would prove it
	Missing   []string
	Empty     []string // in words: seats of its chain without a measured pack, which Value leaves out
	Question  string   // a question that must be answered first
	Working   []Line
	Wants     []Want
	Doubts    []Doubt // readings that do not fit what the rest foretells
	Factor    float64 // change per unit of move, as estimated
	FactorU   float64
	Stiff     *Stiff // how drag grows with preload, nil until two packs have taught it
	Learned   bool   // readings with different packs have taught the factor
	est       *estimator
	form      *form
	links     []link
	move      moveOf
	held      bool // the packs are those of the last trial
}

// Line is one line of working: what, its value in words, and where it is from.
type Line struct{ What, Is, From string }

// Want is the pack a seat should have for the setting to meet its target.
type Want struct {
	Seat     *gearbox.Position
	Now      job.Pack
	T        float64 // wanted total, SI
	Lo, Hi   float64 // band of totals that would be within limits
	Piecemax int
}

// link is a seat with what a metre of it does to the setting.
type link struct {
	seat *gearbox.Position
	per  float64
}

// All works out every setting of a job, in the order of the file.
func All(s *job.State) []Result {
	if s.Box == nil {
		return nil
	}
	e := &estimator{s: s, as: s.Built(), index: map[string]int{}}
	e.gather()
	for _, f := range e.forms { // every piece that is in must be known to the model
		e.now(f)
	}
	e.solve()
	out := make([]Result, len(e.forms))
	for i, f := range e.forms {
		out[i] = e.setting(f)
	}
	return out
}

// One works out one setting; false when the file has none of that name.
func One(s *job.State, name string) (Result, bool) {
	for _, r := range All(s) {
		if strings.EqualFold(r.Name, strings.TrimSpace(name)) {
			return r, true
		}
	}
	return Result{}, false
}

func (e *estimator) setting(f *form) Result {
	r := Result{Setting: f.set, Factor: 1, est: e, form: f, links: f.links, Missing: slices.Clone(f.missed), Question: f.asks}
	e.limits(&r)
	if f.set.Trial() {
		e.trial(&r)
	} else {
		e.chain(&r)
	}
	e.doubts(&r)
	if r.Known {
		e.heat(&r)
		if len(r.Empty) == 0 {
			e.judge(&r)
		}
		e.wants(&r)
		e.stiffness(&r)
	}
	e.prove(&r)
	return r
}

// limits finds the bounds and the target, asking what may not be assumed.
func (e *estimator) limits(r *Result) {
	r.Lo, r.Hi, r.HasLo, r.HasHi = r.Band.At(e.as)
	target, hasTarget := r.Setting.Target.SI(e.as)
	if wanted, ok := r.Wanted.SI(e.as); ok {
		r.line("wanted", e.text(r, wanted, 0), r.From)
		if r.Etched != "" {
			wanted += e.etched(r)
		}
		r.Lo, r.Hi, r.HasLo, r.HasHi = wanted-r.Within, wanted+r.Within, true, true
		target, hasTarget = wanted, true
	}
	if !hasTarget {
		switch {
		case r.HasLo && r.HasHi:
			target = (r.Lo + r.Hi) / 2
		case r.HasLo:
			target = r.Lo
		case r.HasHi:
			target = r.Hi
		}
	}
	r.Target = target
}

// EtchedQuestion is the key of the question what a plus on the pinion means.
const EtchedQuestion = "etched plus means"

// DialQuestion is the key of the question where the dial stands, and its answers.
const (
	DialQuestion = "dial stands"
	DialSquare   = "square to the tooth"
	DialTurning  = "in the plane of turning"
)

// sense is what a reading of a setting is multiplied by so that it is meant as
// its limit is; it asks where the dial stands, for mixing the two is a wrong
// acceptance.
func (e *estimator) sense(f *form) float64 {
	set := f.set
	if set.Sense == "" {
		return 1
	}
	switch e.s.Answers[DialQuestion] {
	case DialSquare:
		if set.Sense == "turning" {
			return set.Turning
		}
	case DialTurning:
		if set.Sense == "normal" {
			return 1 / set.Turning
		}
	default:
		f.asks = DialQuestion
		f.miss("the answer: does the dial stand square to the tooth, or in the plane of turning?")
	}
	return 1
}

// etched is the shift of the wanted figure by the number on the pinion.
func (e *estimator) etched(r *Result) float64 {
	tags := e.s.At[r.Etched]
	if len(tags) == 0 {
		tags = strings.Fields(e.s.Latest[r.Etched])
	}
	mark := ""
	for _, t := range tags {
		if p := e.s.Pieces[t]; p != nil {
			mark = p.Marks["etched"]
		}
	}
	if mark == "" {
		r.Missing = append(r.Missing, "the number etched on "+r.Etched)
		return 0
	}
	n, err := unit.Parse(mark, unit.Number, unit.Unit{})
	if err != nil {
		r.Missing = append(r.Missing, "the number etched on "+r.Etched+", which reads "+mark)
		return 0
	}
	plus := e.s.Box.Etched.Plus
	if a := e.s.Answers[EtchedQuestion]; a != "" {
		plus = a
	}
	step := n.SI * float64(e.s.Box.Etched.Unit)
	switch plus {
	case "further":
	case "nearer":
		step = -step
	default:
		r.Question = EtchedQuestion
		r.Missing = append(r.Missing, fmt.Sprintf("the answer: does + on %s mean further from the crown wheel's axis, or nearer?", r.Etched))
		return 0
	}
	r.line("etched "+mark, signed(e.text(r, step, 0), step), "+ means "+plus+"; answered in this job")
	return step
}

func signed(s string, v float64) string {
	if v >= 0 {
		return "+" + s
	}
	return s
}

func (r *Result) line(what, is, from string) {
	r.Working = append(r.Working, Line{what, is, from})
}

// text prints a value of the setting with its uncertainty.
func (e *estimator) text(r *Result, si, u float64) string { return Text(si, u, r.Unit) }

// Text prints a value with the digits that its uncertainty supports; without
// one, lengths to 0.01 mm, counts to four figures and others to three.
func Text(si, u float64, in unit.Unit) string {
	if u > 0 {
		return unit.FormatU(si, u, in)
	}
	if in.Kind == unit.KindLength || in.Factor == 0 {
		return unit.Format(si, in, 2)
	}
	v, figures := math.Abs(si/in.Factor), 100.0
	if in.Kind == unit.Number {
		figures = 1000 // counts of turns tell gears apart by their fourth figure
	}
	places := 0
	for whole := v; places < 3 && whole < figures && math.Abs(math.Round(whole)-whole) > 1e-6*whole; whole *= 10 {
		places++
	}
	return unit.Format(si, in, places)
}

// judge gives the verdict at the packs now in place.
func (e *estimator) judge(r *Result) {
	if !r.HasLo && !r.HasHi {
		return
	}
	lo, hi := bounds(r)
	r.UPlace = math.Hypot(r.U, r.form.around.u)
	r.Verdict = worse(uncert.Decide(r.Low, r.UPlace, lo, hi), uncert.Decide(r.High, r.UPlace, lo, hi))
	r.Chance = within(r.Value, r.UPlace, lo+r.Value-r.Low, hi-(r.High-r.Value), r.Hot)
	if h := r.Hot; h != nil && h.Judged {
		r.Verdict = worse(r.Verdict, h.Verdict)
	}
}

func bounds(r *Result) (lo, hi float64) {
	lo, hi = math.Inf(-1), math.Inf(1)
	if r.HasLo {
		lo = r.Lo
	}
	if r.HasHi {
		hi = r.Hi
	}
	return
}

// worse is the graver of two verdicts: out, then too close to call, then in.
func worse(a, b uncert.Verdict) uncert.Verdict {
	for _, v := range []uncert.Verdict{uncert.Out, uncert.Close} {
		if a == v || b == v {
			return v
		}
	}
	return uncert.In
}

// prove says whether the setting is proven: within limits, on readings later
// than any change in what it rests on.
func (e *estimator) prove(r *Result) {
	switch {
	case len(r.Missing) > 0:
		r.Why = "not known yet: needs " + strings.Join(r.Missing, "; ")
	case !r.Known:
		r.Why = "not measured yet"
	case len(r.Empty) > 0:
		r.Why = strings.Join(r.Empty, "; ")
	case !r.HasLo && !r.HasHi:
		r.Why = "it has no limits in the gearbox file"
	case e.provedByOthers(r):
		r.Proven = true
	case r.Setting.Trial() && !r.held:
		r.Why = "a pack it rests on has changed since it was last read: read it again"
	case len(r.Doubts) > 0 && r.Doubts[0].Grave:
		r.Why = r.Doubts[0].Says
	case r.Verdict == uncert.In:
		r.Proven = true
	case r.Verdict == uncert.Close:
		r.Why = "too close to call: measure again"
	case len(r.Seats()) == 0:
		r.Why = "out of its limits: the parts it is made of do not go together"
	default:
		r.Why = "out of its limits: choose another pack"
	}
}

// provedByOthers reports whether every measure that proves the setting has been
// read within its limits since the last change.
func (e *estimator) provedByOthers(r *Result) bool {
	if len(r.Proved) == 0 {
		return false
	}
	for _, name := range r.Proved {
		m, _ := e.s.Box.Measure(name)
		rd := e.latest(m)
		if rd == nil || m.Limit == nil {
			return false
		}
		for _, l := range r.links {
			if e.s.Changed(l.seat.ID) > rd.Seq {
				return false
			}
		}
		j := Judge(e.s, m, *rd)
		if j.Verdict != uncert.In {
			return false
		}
		r.line("proved by "+name, j.Text, from(*rd))
	}
	return true
}
