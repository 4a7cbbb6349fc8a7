package setup

import (
	"math"

	"endfloat/calc/uncert"
	"endfloat/calc/unit"
	"endfloat/internal/gearbox"
	"endfloat/internal/job"
)

// wants works out the pack that each seat should have.
//
// One seat takes the whole move. Two seats that add up share the total, each
// keeping half of what is missing. Two that oppose exchange: what one gains
// the other gives, so that their total stays.
func (e *estimator) wants(r *Result) {
	gain := 0.0
	for _, l := range r.links {
		gain += math.Abs(l.per)
	}
	if gain == 0 || !r.HasLo && !r.HasHi {
		return
	}
	k := 1.0
	if r.Setting.Trial() {
		k = r.Factor
	}
	if k == 0 {
		return
	}
	mid := (r.Low + r.High) / 2
	move := (r.Target - mid) / k
	for _, l := range r.links {
		if l.seat.Seat != nil && l.seat.Seat.Crush {
			r.line(l.seat.Label(), "no pack to choose", "a sleeve that the nut crushes: tighten a little at a time, turning, until the drag is right; never back off; a new one for every try")
			continue
		}
		now := e.s.Pack(l.seat.ID)
		if !now.Ok {
			now.SI = 0
		}
		share := math.Copysign(1/gain, l.per)
		w := Want{Seat: l.seat, Now: now, T: now.SI + move*share, Lo: math.Inf(-1), Hi: math.Inf(1)}
		a, b := math.Inf(-1), math.Inf(1)
		if r.HasLo {
			a = (r.Lo - r.Low) / k
		}
		if r.HasHi {
			b = (r.Hi - r.High) / k
		}
		if k < 0 {
			a, b = b, a
		}
		x, y := now.SI+a*share, now.SI+b*share
		w.Lo, w.Hi = math.Min(x, y), math.Max(x, y)
		if l.seat.Seat != nil {
			w.Piecemax = l.seat.Seat.Max
		}
		r.Wants = append(r.Wants, w)
	}
}

// Foretell is what the setting would be with other packs at some of its seats;
// seats not named keep theirs. A pack may name pieces of the job or be a bare
// thickness with its doubt.
func Foretell(s *job.State, r Result, packs map[string]job.Pack) (value, u float64, v uncert.Verdict) {
	h, off, u2 := r.with(s, packs)
	value = r.est.m.value(h) + off
	u = math.Sqrt(math.Max(0, r.est.m.cov(h, h)+u2))
	lo, hi := bounds(&r)
	low, high := value-(r.Value-r.Low), value+(r.High-r.Value)
	around := math.Hypot(u, r.form.around.u)
	v = worse(uncert.Decide(low, around, lo, hi), uncert.Decide(high, around, lo, hi))
	if r.Hot != nil && r.Hot.Judged {
		lo, hi := r.Hot.bounds()
		v = worse(v, uncert.Decide(value+r.Hot.Growth, math.Hypot(u, r.Hot.GrowthU), lo, hi))
	}
	return value, u, v
}

// with is the setting as a sum over the unknowns when packs are exchanged, the
// constant beside it, and the variance of pieces that the model does not know.
func (r Result) with(s *job.State, packs map[string]job.Pack) (h []part, off, extra float64) {
	e, f := r.est, r.form
	mic := e.common("the drawer's micrometer")
	per := 1.0
	if f.base >= 0 {
		v := e.now(f)
		h, off = e.functional(f, v)
		if f.factor >= 0 {
			per = e.m.x[f.factor]
		} else if k, ok := f.set.Factor.SI(e.as); ok {
			per = k
		}
	} else {
		h = append(h, f.chain...)
	}
	h = append([]part(nil), h...)
	var moved float64
	for _, l := range r.links {
		p, ok := packs[l.seat.ID]
		if !ok {
			continue
		}
		now := s.Pack(l.seat.ID)
		if now.Ok || f.base >= 0 {
			for _, a := range e.pack(now.Tags, l.per) {
				h = append(h, part{a.i, -per * a.c})
			}
		} else {
			now.SI = 0
		}
		si, u2 := p.SI, p.U*p.U
		for _, t := range p.Tags {
			if pc := s.Pieces[t]; pc != nil && e.has("piece "+t) { // known to the model already
				for _, a := range e.pack([]string{t}, l.per) {
					h = append(h, part{a.i, per * a.c})
				}
				si, u2 = si-pc.SI, u2-pc.U*pc.U
			}
		}
		c := per * l.per * math.Sqrt(math.Max(0, u2))
		h = append(h, part{mic, c * pieceCommon})
		extra += c * c * (1 - pieceCommon*pieceCommon)
		off += per * l.per * si
		moved += l.per * (p.SI - now.SI)
	}
	if f.factor >= 0 && moved != 0 {
		h = append(h, part{f.factor, moved})
		off -= moved * e.m.x[f.factor]
	}
	if moved != 0 {
		extra += f.set.Refit * f.set.Refit
	}
	return h, off, extra
}

// Judged is the verdict on a set of readings against its limit.
type Judged struct {
	Measure        *gearbox.Measure
	Mean           Mean
	Text           string         // value with its doubt
	Wanted         string         // the limit in words
	Verdict        uncert.Verdict // "" without a limit
	Plan           bool           // in, but renew it next time
	From           string         // where the limit stands
	Spread, Allows float64
	SpreadOut      bool
}

// Judge holds a set of readings against its limit: at every place around a
// turn where the measure has places.
func Judge(s *job.State, m *gearbox.Measure, r job.Reading) Judged {
	j := Judged{Measure: m, Mean: MeanOf(s, m, r)}
	in := m.Unit
	j.Text = Text(j.Mean.Value, j.Mean.U, in)
	j.Spread, j.Allows = j.Mean.Max-j.Mean.Min, m.Spread
	if m.Places > 0 {
		j.SpreadOut = m.Spread > 0 && j.Spread > m.Spread*(1+1e-9)
	}
	l := m.Limit
	if l == nil {
		return j
	}
	as := s.Built()
	lo, hi, hasLo, hasHi := l.Band.At(as)
	j.From, j.Wanted = l.From, Range(lo, hi, hasLo, hasHi, in)
	if !hasLo {
		lo = math.Inf(-1)
	}
	if !hasHi {
		hi = math.Inf(1)
	}
	if hasLo || hasHi {
		low, high := j.Mean.Value, j.Mean.Value
		if m.Places > 0 {
			low, high = j.Mean.Min, j.Mean.Max
		}
		j.Verdict = worse(uncert.Decide(low, j.Mean.U, lo, hi), uncert.Decide(high, j.Mean.U, lo, hi))
	}
	if p, ok := l.Plan.SI(as); ok && j.Verdict != uncert.Out {
		j.Plan = l.Bad == "below" && j.Mean.Value < p || l.Bad == "above" && j.Mean.Value > p
	}
	return j
}

// Range puts limits into words: "0.10 to 0.20 mm".
func Range(lo, hi float64, hasLo, hasHi bool, in unit.Unit) string {
	switch {
	case hasLo && hasHi:
		return trimUnit(Text(lo, 0, in), in) + " to " + Text(hi, 0, in)
	case hasLo:
		return "at least " + Text(lo, 0, in)
	case hasHi:
		return "at most " + Text(hi, 0, in)
	}
	return ""
}

func trimUnit(s string, in unit.Unit) string {
	if n := len(s) - len(in.Symbol); in.Symbol != "" && n > 0 && s[n:] == in.Symbol {
		s = s[:n]
	}
	for len(s) > 0 && s[len(s)-1] == ' ' {
		s = s[:len(s)-1]
	}
	return s
}
